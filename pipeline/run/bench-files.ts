import type { BandFacts } from '../facts/catalogue-schema.ts';
import { alloyRow } from '../facts/looks.ts';
import { labelName } from '../model/cast-part.ts';
import type { CasterPlan, Plan } from '../plan/plan.ts';
import { type BenchFile, clearBench, publishBench } from '../publish/private-bench.ts';
import { privateFolder } from '../publish/private-folder.ts';
import type { ArtefactStore } from '../store/artefact-store.ts';
import { localeOf } from '../words/locale.ts';
import { bandsOfSubject, stoneLists } from './items.ts';
import { catalogueParts, partFile } from './parts.ts';
import { sheetDocuments, sheetOf } from './sheets.ts';
import { subjectsOf } from './subject.ts';
import type { PartWork, Work } from './work.ts';

export interface BenchSource {
  work: Work;
  store: ArtefactStore;
  /** all unless given */
  wanted?: (sku: string) => boolean;
  signal: AbortSignal;
}

/** Whether the private folder holds files of bench or caster. */
export function keepsBench(plan: Plan): boolean {
  return keeps(plan).caster || keeps(plan).sheets;
}

function keeps({ caster, sheets, publishSheets }: Plan): { caster: boolean; sheets: boolean } {
  return { caster: caster !== undefined && !caster.publish, sheets: sheets && !publishSheets };
}

/**
 * Puts what bench and caster need into the private folder, or clears it there if the config publishes it or asks for none.
 * @returns names that were written or removed
 */
export async function makeBench(catalogueFolder: string, source: BenchSource): Promise<string[]> {
  const { work, wanted } = source;
  const folder = privateFolder(catalogueFolder);
  const kept = keeps(work.plan);
  const planned = new Set(wanted ? plannedFiles(work) : []);
  const stays = (name: string) => planned.has(name);
  const changed: string[] = [];
  if (kept.caster) changed.push(...(await publishBench(folder, 'caster', casterFiles(source), stays)));
  else await clearBench(folder, 'caster');
  if (kept.sheets) changed.push(...(await publishBench(folder, 'sheets', sheetFiles(source), stays)));
  else await clearBench(folder, 'sheets');
  return changed;
}

async function* casterFiles(source: BenchSource): AsyncGenerator<BenchFile> {
  yield { name: 'READ-ME.txt', data: async () => Buffer.from(casterNote(source.work)) };
  for (const { file, bytes, data } of await catalogueParts(source)) yield { name: leaf(file), bytes, data };
  for await (const band of bandsOf(source))
    for (const { name, data } of stoneLists([band])) yield { name, data: async () => data };
}

async function* sheetFiles(source: BenchSource): AsyncGenerator<BenchFile> {
  for await (const band of bandsOf(source))
    for (const { name, data } of await sheetDocuments(sheetOf(band, source.work), source.store))
      yield { name, data: async () => data };
}

/** Every wanted band whose facts are there, once. */
async function* bandsOf({ work, store, wanted, signal }: BenchSource): AsyncGenerator<BandFacts> {
  const seen = new Set<string>();
  for (const subject of subjectsOf(work.plan).filter((s) => !wanted || wanted(s.sku))) {
    signal.throwIfAborted();
    if (subject.bands.every((band) => seen.has(band.sku))) continue;
    const bands = await bandsOfSubject(subject, { work, store });
    if ('missing' in bands) continue;
    for (const band of bands) {
      if (!seen.has(band.sku)) yield band;
      seen.add(band.sku);
    }
  }
}

/** Names of all files that a plan may have there. */
function plannedFiles({ plan, parts }: Work): string[] {
  const { caster } = plan;
  const cast = (part: PartWork, plan: CasterPlan) =>
    (['stl', '3mf'] as const).map((format) => leaf(partFile(part, format, plan)));
  const skus = subjectsOf(plan).flatMap((s) => s.bands.map((b) => b.sku));
  return [
    ...(caster ? parts.flatMap((part) => cast(part, caster)) : []),
    ...skus.flatMap((sku) => [`${sku}-stones.csv`, `${sku}-bench.html`, `${sku}-bench.pdf`]),
  ];
}

const leaf = (file: string) => file.slice(file.lastIndexOf('/') + 1);

/** What a caster must read before the files beside it are used. */
export function casterNote({ plan, parts }: Pick<Work, 'plan' | 'parts'>): string {
  const { caster } = plan;
  if (!caster) throw new RangeError('the plan asks for no files for a caster');
  const { messages, number } = localeOf(plan.language, plan.market);
  const say = messages.casterNote;
  const percent = (share: number) => `${number(100 * share, 0, 3)} %`;
  const alloys = [...new Set(parts.map((part) => part.alloy))].filter((id) => alloyRow(id).uncastable);
  return [
    say.first,
    [
      caster.shrinkage > 0 ? say.shrinkage(percent(caster.shrinkage)) : say.noShrinkage,
      caster.polishMm > 0 ? say.polish(`${number(caster.polishMm, 0, 3)} mm`) : say.noPolish,
      caster.sprue > 0 ? say.sprue(percent(caster.sprue)) : say.noSprue,
    ].join('\n'),
    say.named(labelName(caster)),
    ...(alloys.length > 0 ? [say.uncastable(alloys.join(', '))] : []),
    say.cautions,
  ].join('\n\n');
}
