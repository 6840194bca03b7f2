import { readFileSync } from 'node:fs';
import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import type { Plan } from '../catalogue/plan.ts';
import { PICTURE_VERSION } from '../picture/encode.ts';
import { loadWatermark, type Watermark } from '../picture/watermark.ts';
import { sha256 } from '../publish/content-key.ts';
import { ArtefactStore } from '../publish/store.ts';
import { Costs } from './cost.ts';
import type { LastInputs } from './survey.ts';
import { layerVersions } from './version.ts';
import { planWork, type Work } from './work.ts';

/** A plan, its content keys, and where its artefacts live. */
export interface Workplace {
  work: Work;
  store: ArtefactStore;
  costs: Costs;
  last: LastInputs;
  lastFile: string;
  watermark?: Watermark;
}

/** Reads everything that decides content keys; builds nothing. */
export async function openWorkplace(plan: Plan, out: string): Promise<Workplace> {
  const state = join(out, '.bandwright');
  const watermark = plan.watermark && (await loadWatermark(plan.watermark));
  const logo = plan.watermark?.image && sha256(await readFile(plan.watermark.image));
  const work = planWork(plan, { versions: layerVersions(), logo, pictureVersion: PICTURE_VERSION });
  const lastFile = join(state, 'last', `${plan.catalogue}.json`);
  return {
    work,
    store: new ArtefactStore(join(state, 'store')),
    costs: new Costs(join(state, 'costs.json')),
    last: readLast(lastFile),
    lastFile,
    watermark,
  };
}

function readLast(file: string): LastInputs {
  try {
    return JSON.parse(readFileSync(file, 'utf8')) as LastInputs;
  } catch {
    return {};
  }
}
