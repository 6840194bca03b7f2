/**
 * Bands that carry letters of an order's own: solids, facts, bench sheet and caster's files of that order. All of it stays
 * in the private folder; nothing passes through the store.
 */
import type { BuiltShape } from '../band/built-shape.ts';
import { bandFacts } from '../facts/band-facts.ts';
import type { CasterFacts } from '../facts/catalogue-schema.ts';
import { alloyRow } from '../facts/looks.ts';
import { type SolidFacts, solidFacts } from '../facts/solid-facts.ts';
import { heldBy } from '../facts/verdict.ts';
import { type CastPart, labelName } from '../model/cast-part.ts';
import type { OrderPlan } from '../plan/client-plan.ts';
import type { CasterPlan, Plan } from '../plan/plan.ts';
import { type PrivateFile, readPrivate } from '../publish/private-folder.ts';
import { buildShape } from '../setting/build-shape.ts';
import { artefactKey } from '../store/content-key.ts';
import { lanesByAlloy } from './bands.ts';
import { buildPart, partFacts } from './cast-part.ts';
import type { EngravedBand } from './letter-faults.ts';
import type { OwnFacts } from './proof-facts.ts';
import { sheetPage } from './sheet-page.ts';

/** What is remembered of an engraved band, so that nothing is built again: kept beside its proof. */
interface Remembered {
  key: string;
  solid: SolidFacts;
  /** by alloy */
  parts: Record<string, Pick<CastPart, 'pieces' | 'volumeMm3'>>;
}

export interface EngravedSource {
  plan: Plan;
  /** kind → identity of its code */
  versions: Readonly<Record<string, string>>;
  /** the private folder */
  folder: string;
  print: (html: string) => Promise<Uint8Array | undefined>;
}

/** Content key of an engraved band's facts: everything that decides its solids, parts and checks. */
function engravedKey(
  { engraved: { design }, variant }: EngravedBand,
  { plan: { limits, caster }, versions }: Pick<EngravedSource, 'plan' | 'versions'>,
): string {
  const cast = caster && { ...caster, engine: versions.part, alloys: variant.dress.alloys };
  return artefactKey({ layer: 'solid', engine: versions.solid, design, limits, ...(cast && { cast }) });
}

/** Names of an engraved band's files. `n` counts the order's bands from 1. */
export function engravedNames(name: string, n: number, band: EngravedBand, plan: Plan): string[] {
  return [
    factsFile(name, n),
    ...(plan.sheets ? ['html', 'pdf'].map((end) => `${name}-bench-${n}.${end}`) : []),
    ...partNames(name, n, band, plan),
  ];
}

/** Names of its files for the caster. */
export function partNames(name: string, n: number, { variant }: EngravedBand, plan: Plan): string[] {
  const { caster } = plan;
  if (!caster) return [];
  return [...lanesByAlloy(variant.dress.alloys).keys()].flatMap((alloy) =>
    (['stl', '3mf'] as const).map((end) => partName(name, n, alloy, caster, end)),
  );
}

/** What a file allows for stands first, as in the names of the catalogue's own parts. */
function partName(name: string, n: number, alloy: string, caster: CasterPlan, end: 'stl' | '3mf'): string {
  const { uncastable } = alloyRow(alloy);
  return `${labelName({ ...caster, uncastable })}_${alloy}-${name}-${n}.${end}`;
}

const factsFile = (name: string, n: number) => `${name}-facts-${n}.json`;

/** What an earlier run left of a band with these very letters; undefined if anything that decides it has changed. */
async function recall(name: string, n: number, key: string, folder: string): Promise<Remembered | undefined> {
  const kept = await readPrivate(folder, factsFile(name, n));
  if (!kept) return undefined;
  try {
    const remembered = JSON.parse(Buffer.from(kept).toString()) as Remembered;
    return remembered.key === key ? remembered : undefined;
  } catch {
    return undefined;
  }
}

/** Whether an earlier run built a band with these very letters, and nothing holds it back: a waiver may have gone since. */
export async function wasEngraved(
  name: string,
  n: number,
  band: EngravedBand,
  source: Pick<EngravedSource, 'plan' | 'versions' | 'folder'>,
): Promise<boolean> {
  const own = await rememberedFacts(name, n, band, source);
  return own !== undefined && heldBy([own.facts(source.plan)]).length === 0;
}

export interface MadeBand extends OwnFacts {
  files: PrivateFile[];
}

/**
 * A band with its letters cut: facts for its proof, and its files.
 * @param name of the order's files
 * @param n counts the order's bands from 1
 * @throws ProblemError if the band or a part cannot be built
 */
export async function engravedBand(
  name: string,
  n: number,
  band: EngravedBand,
  order: OrderPlan,
  source: EngravedSource,
): Promise<MadeBand> {
  const { plan, folder, print } = source;
  const key = engravedKey(band, source);
  const bench = new EngravedBench(band, plan);
  const made = (await recall(name, n, key, folder)) ?? { key, ...(await bench.remember()) };
  const { facts } = ownFacts(band, made, plan);
  const files = [
    { name: factsFile(name, n), key, data: async () => Buffer.from(JSON.stringify(made)) },
    ...(plan.caster ? partsOf(bench, made, { name, n, caster: plan.caster }) : []),
  ];
  if (!plan.sheets) return { facts, files };
  const html = sheetPage(facts(plan), band.variant, band.engraved.design, plan, order.id);
  const sheet = (end: string, data: PrivateFile['data']): PrivateFile => ({
    name: `${name}-bench-${n}.${end}`,
    key: artefactKey({ sheet: html, end, engine: source.versions.sheet }),
    data,
  });
  const pages = [sheet('html', async () => Buffer.from(html)), sheet('pdf', () => print(html))];
  return { facts, files: [...files, ...pages] };
}

function partsOf(
  bench: EngravedBench,
  { key, parts }: Remembered,
  { name, n, caster }: { name: string; n: number; caster: CasterPlan },
): PrivateFile[] {
  return Object.keys(parts).flatMap((alloy) =>
    (['stl', '3mf'] as const).map((end) => ({
      name: partName(name, n, alloy, caster, end),
      key: artefactKey({ part: key, alloy, end }),
      data: async () => (await bench.part(alloy))[end === 'stl' ? 'stl' : 'threeMf'],
    })),
  );
}

function ownFacts(band: EngravedBand, made: Remembered, plan: Plan): OwnFacts {
  const shapes = { ...plan.shapes, [band.variant.shape]: band.engraved.design };
  const cast = castFacts(band, made, plan);
  return { facts: (told) => bandFacts(band.variant, made.solid, { ...told, shapes }, {}, cast) };
}

/** Facts of a band with an order's letters as an earlier run left them, without building any; undefined if it left none. */
export async function rememberedFacts(
  name: string,
  n: number,
  band: EngravedBand,
  source: Pick<EngravedSource, 'plan' | 'versions' | 'folder'>,
): Promise<OwnFacts | undefined> {
  const made = await recall(name, n, engravedKey(band, source), source.folder);
  return made && ownFacts(band, made, source.plan);
}

/** Builds a band and its parts when they are first asked for, each once. */
class EngravedBench {
  readonly #band: EngravedBand;
  readonly #plan: Plan;
  #shape?: Promise<BuiltShape>;
  readonly #parts = new Map<string, Promise<CastPart>>();

  constructor(band: EngravedBand, plan: Plan) {
    this.#band = band;
    this.#plan = plan;
  }

  async remember(): Promise<Omit<Remembered, 'key'>> {
    const solid = solidFacts(await this.#built());
    const parts: Remembered['parts'] = {};
    if (this.#plan.caster)
      for (const alloy of lanesByAlloy(this.#band.variant.dress.alloys).keys()) {
        const { pieces, volumeMm3 } = await this.part(alloy);
        parts[alloy] = { pieces, volumeMm3 };
      }
    return { solid, parts };
  }

  part(alloy: string): Promise<CastPart> {
    const { caster } = this.#plan;
    if (!caster) throw new RangeError('the config asks for no files for the caster');
    const ready = this.#parts.get(alloy) ?? this.#cast(alloy, caster);
    this.#parts.set(alloy, ready);
    return ready;
  }

  async #cast(alloy: string, caster: NonNullable<Plan['caster']>): Promise<CastPart> {
    const lanes = lanesByAlloy(this.#band.variant.dress.alloys).get(alloy) ?? [];
    return buildPart(this.#band.engraved.design, await this.#built(), { alloy, lanes }, caster);
  }

  #built(): Promise<BuiltShape> {
    this.#shape ??= buildShape(this.#band.engraved.design, undefined, this.#plan.limits);
    return this.#shape;
  }
}

function castFacts(
  { variant }: EngravedBand,
  { solid, parts }: Remembered,
  { caster }: Plan,
): CasterFacts | undefined {
  if (!caster) return undefined;
  const { shrinkage, polishMm, sprue } = caster;
  const told = [...lanesByAlloy(variant.dress.alloys)].map(([alloy, lanes]) =>
    partFacts(alloy, lanes, solid, parts[alloy], caster, []),
  );
  return { shrinkage, polishMm, sprue, parts: told };
}
