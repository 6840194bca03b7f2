import { createHash } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { codeOfEngine, FILM } from '../artefacts/film.ts';
import { type Logo, loadLogo } from '../picture/logo.ts';
import { loadWatermark, type Watermark } from '../picture/watermark.ts';
import type { Plan, TakeId, TakePlan, WatermarkPlan } from '../plan/plan.ts';
import { logosOf } from '../plan/watermark.ts';
import { ArtefactStore } from '../store/artefact-store.ts';
import { sha256 } from '../store/content-key.ts';
import { readOwnSync } from '../store/own-file.ts';
import { checkOwnTree } from '../store/own-folder.ts';
import { ENGINE, type EngineId } from '../tracer/tracer.ts';
import { Costs } from './cost.ts';
import type { LastInputs } from './survey.ts';
import { codeVersions } from './version.ts';
import { planWork, type Work } from './work.ts';

/** A plan, its content keys, and where its artefacts live. */
export interface Workplace {
  work: Work;
  /** the same work with takes' noise targets multiplied, and by the engines below */
  workAt(noiseFactor?: (take: TakePlan) => number): Work;
  /** takes' engines where another one's films may serve (`film-engines.ts`); undefined where only one's own do */
  engines?: Map<TakeId, EngineId>;
  /** of the code behind each kind, read once: what is edited during a run does not mix in */
  versions: Readonly<Record<string, string>>;
  /** hash of each logo file, by its path */
  logos: ReadonlyMap<string, string>;
  /** SHA-256 of all that decides the catalogue and the private folder: plan, content keys, logos, code */
  readonly inputs: string;
  store: ArtefactStore;
  /** folder of takes that were interrupted */
  checkpoints: string;
  costs: Costs;
  last: LastInputs;
  lastFile: string;
  watermark?: Watermark;
  /** of proofs and sheets of swatches */
  logo?: Logo;
  /** of outputs that have their own */
  ownWatermarks: ReadonlyMap<WatermarkPlan, Watermark>;
}

export interface WorkplaceOptions {
  /** that will trace at once, for forecasts; one per core unless given */
  workers?: number;
  /** what is to be traced with */
  engine?: EngineId;
  /** films that another engine has made serve as well */
  anyEngine?: boolean;
}

/** Reads everything that decides content keys; builds nothing. */
export async function openWorkplace(
  plan: Plan,
  out: string,
  { workers, engine = ENGINE, anyEngine = false }: WorkplaceOptions = {},
): Promise<Workplace> {
  const state = join(out, '.bandwright');
  // shares and workers hold no lease on it
  await checkOwnTree(state, 3);
  const watermark = plan.watermark && (await loadWatermark(plan.watermark));
  const ownWatermarks = new Map<WatermarkPlan, Watermark>();
  for (const { watermark: own } of plan.images) if (own) ownWatermarks.set(own, await loadWatermark(own));
  // proofs and sheets of swatches carry it
  const logoFile = plan.proofs || plan.swatches ? plan.letterhead.logo : undefined;
  const logo = logoFile ? await loadLogo(logoFile) : undefined;
  const logos = new Map<string, string>();
  for (const logo of [...logosOf(plan), ...(logoFile ? [logoFile] : [])])
    logos.set(logo, sha256(await readFile(logo)));
  const versions = await codeVersions();
  const engines = anyEngine ? new Map<TakeId, EngineId>() : undefined;
  const engineOf = ({ id }: TakePlan) => engines?.get(id) ?? engine;
  const workAt = (noiseFactor?: (take: TakePlan) => number) =>
    planWork(plan, { versions, logos, noiseFactor, engine, engineOf });
  const work = workAt();
  const lastFile = join(state, 'last', `${plan.catalogue}.json`);
  const place: Workplace = {
    work,
    workAt,
    engines,
    versions,
    logos,
    get inputs() {
      return inputsOf(place.work, logos, versions.catalogue);
    },
    store: new ArtefactStore(join(state, 'store')),
    checkpoints: join(state, 'checkpoints'),
    costs: new Costs(join(state, costsFile(plan, work)), {
      passCap: plan.quality.passCap,
      engine: codeOfEngine(work.engine, versions),
      workers,
      raw: !plan.quality.filter,
      designs: plan.shapes,
    }),
    last: readLast(lastFile),
    lastFile,
    watermark,
    logo,
    ownWatermarks,
  };
  return place;
}

function inputsOf({ plan, pieces }: Work, logos: ReadonlyMap<string, string>, code: string): string {
  const hash = createHash('sha256').update(code).update(JSON.stringify(plan));
  for (const { record } of pieces(FILM)) hash.update(record);
  return hash.update(JSON.stringify([...logos])).digest('hex');
}

function readLast(file: string): LastInputs {
  try {
    return JSON.parse(String(readOwnSync(file))) as LastInputs;
  } catch {
    return {};
  }
}

/**
 * Tiny frames cost more a pixel and coarse ones stop at the first passes: a draft would teach the real run wrong. So would
 * another engine.
 */
function costsFile(plan: Plan, { engine }: Work): string {
  return `costs${plan.draft ? '-draft' : ''}${engine === ENGINE ? '' : '-card'}.json`;
}
