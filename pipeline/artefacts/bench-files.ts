/** What bench and caster need of a catalogue, in the private folder beside it. */
import type { BandFacts } from '../facts/catalogue-schema.ts';
import { stoneListCsv } from '../papers/stone-list.ts';
import type { Plan } from '../plan/plan.ts';
import { isRefused } from '../problem.ts';
import type { CatalogueDocument } from '../publish/catalogue.ts';
import { type BenchFile, clearBench, publishBench } from '../publish/private-bench.ts';
import { privateFolder } from '../publish/private-folder.ts';
import type { Making } from './kind.ts';
import { factsOfBands } from './solid.ts';
import { subjectsOf } from './subject.ts';

/** Which of it the private folder holds: what the config does not publish. */
export function keptOfBench({ caster, sheets, publishSheets }: Plan): { caster: boolean; sheets: boolean } {
  return { caster: caster !== undefined && !caster.publish, sheets: sheets && !publishSheets };
}

/**
 * Puts it there, or clears it if the config publishes it or asks for none.
 * @param planned names of all files that the plan may have there
 * @returns names that were written or removed
 */
export async function layBench(
  { plan, only, catalogueFolder }: Making,
  part: 'caster' | 'sheets',
  files: () => AsyncGenerator<BenchFile>,
  planned: () => readonly string[],
): Promise<string[]> {
  const folder = privateFolder(catalogueFolder);
  if (!keptOfBench(plan)[part]) {
    await clearBench(folder, part);
    return [];
  }
  const stay = new Set(only ? planned() : []);
  return publishBench(folder, part, files(), (name) => stay.has(name));
}

/** Every wanted band whose facts are there, once. */
export async function* factsOfWanted(making: Making): AsyncGenerator<BandFacts> {
  const seen = new Set<string>();
  for (const subject of subjectsOf(making.plan).filter((s) => making.wanted(s.sku))) {
    making.signal.throwIfAborted();
    if (subject.bands.every((band) => seen.has(band.sku))) continue;
    const bands = await factsOfBands(subject.bands, making);
    if (isRefused(bands)) continue;
    for (const band of bands) {
      if (!seen.has(band.sku)) yield band;
      seen.add(band.sku);
    }
  }
}

/** One for each band with stones. */
export function stoneLists(
  bands: readonly BandFacts[],
  { ownBench }: Pick<Plan, 'ownBench'>,
): CatalogueDocument[] {
  return bands
    .filter((band) => band.stoneCount > 0)
    .map((band) => ({
      kind: 'stone-list',
      name: `${band.sku}-stones.csv`,
      data: Buffer.from(stoneListCsv(band, ownBench)),
    }));
}
