import { basename, join } from 'node:path';
import type { CasterFacts } from '../facts/catalogue-schema.ts';
import { alloyRow } from '../facts/looks.ts';
import { allowanceWording, type CastPart, labelName } from '../model/cast-part.ts';
import type { CasterPlan, ShapeKey, Sku, Variant } from '../plan/plan.ts';
import { formatProblem, ProblemError } from '../problem.ts';
import type { KeyedFile } from '../publish/catalogue.ts';
import type { BenchFile } from '../publish/private-bench.ts';
import { privateFolder } from '../publish/private-folder.ts';
import { ArtefactLost } from '../store/artefact-store.ts';
import type { ContentKey } from '../store/content-key.ts';
import { artefactKey } from '../store/content-key.ts';
import { bandsOfPlan, distinctBands, lanesByAlloy } from './bands.ts';
import { factsOfWanted, layBench, stoneLists } from './bench-files.ts';
import { buildPart, partFacts } from './cast-part.ts';
import { casterNote } from './caster-note.ts';
import { grouped } from './grouped.ts';
import type { Kind, Making, Planning, Source } from './kind.ts';
import { decodePart, encodePart } from './part-bundle.ts';
import { geometryKeys, shapeFacts } from './solid.ts';

/** Files for the caster: all lanes of one alloy in a shape. */
export interface PartWork {
  shape: ShapeKey;
  alloy: string;
  /** indices in the shape's order */
  lanes: number[];
  key: ContentKey;
  /** bands that have this part */
  skus: Sku[];
}

export const PART: Kind<PartWork> = {
  name: 'part',
  code: ['model/cast-part.ts', 'band/polish-allowance.ts', 'artefacts/part-bundle.ts'],
  shared: true,
  plan: planParts,
  skus: ({ skus }) => skus,
  uses: ({ key }) => [`part/${key}`],
  make: makePart,
  costs: [{ name: 'part', label: 'parts for the caster', guess: { seconds: 2, bytes: 5e6 }, copies: 2 }],
  tell: async (band, source) => {
    const caster = await casterFacts(band, source);
    return caster ? { caster } : {};
  },
  publish: async (source) => {
    const { caster } = source.plan;
    if (!caster?.publish) return {};
    return { keyed: await partFiles(source), casterNote: noteOf(source) };
  },
  lay: (making) =>
    layBench(
      making,
      'caster',
      () => casterFolder(making),
      () => plannedFiles(making),
    ),
};

/** A part is shared by all bands of one shape that have the same lanes in the same alloy. */
function planParts(planning: Planning): PartWork[] {
  const { plan, versions } = planning;
  if (!plan.caster) return [];
  const solids = geometryKeys(planning);
  const engine = versions.part;
  const { shrinkage, polishMm } = plan.caster;
  const parts = new Map<string, PartWork>();
  for (const band of bandsOfPlan(plan)) {
    for (const [alloy, lanes] of lanesByAlloy(band.dress.alloys)) {
      const solid = solids.get(band.shape);
      const key = artefactKey({ layer: 'part', engine, solid, alloy, lanes, shrinkage, polishMm });
      const part = parts.get(key) ?? { shape: band.shape, alloy, lanes, key, skus: [] };
      if (!part.skus.includes(band.sku)) part.skus.push(band.sku);
      parts.set(key, part);
    }
  }
  return [...parts.values()];
}

/** A part that cannot be built fails its bands' files for the caster, not their pictures. */
async function makePart(part: PartWork, making: Making): Promise<void> {
  const { plan, report, costs } = making;
  const { caster } = plan;
  const shape = caster && (await making.bench.get(part.shape));
  if (!shape) return;
  let made: CastPart;
  try {
    const start = performance.now();
    made = await buildPart(plan.shapes[part.shape], shape, part, caster);
    const seconds = (performance.now() - start) / 1000;
    costs.recordPieces('part', seconds, made.stl.length + made.threeMf.length);
  } catch (error) {
    if (!(error instanceof ProblemError)) throw error;
    const problems = error.problems.map(formatProblem);
    report({ event: 'part-failed', part: partPlace(part, making), skus: part.skus, problems });
    making.fail(part.skus, `no files for the caster: ${problems[0]}`);
    return;
  }
  const bytes = encodePart(made);
  await making.store.put('part', part.key, bytes);
  const allowances = allowanceWording(caster);
  report({ event: 'part', part: partPlace(part, making), bytes: bytes.length, allowances });
}

/** File of a part, named by what it allows for, alloy and content. */
export function partFile(part: PartWork, format: 'stl' | '3mf', caster: CasterPlan): string {
  const label = labelName({ ...caster, uncastable: alloyRow(part.alloy).uncastable });
  return `models/bench/${label}_${part.alloy}-${part.key.slice(0, 12)}.${format}`;
}

/** Where a run says that a part lies: in the private folder, unless the config publishes it. */
export function partPlace(
  part: PartWork,
  { plan, catalogueFolder }: Pick<Making, 'plan' | 'catalogueFolder'>,
) {
  const caster = plan.caster as CasterPlan;
  const file = partFile(part, 'stl', caster);
  return caster.publish ? file : join(basename(privateFolder(catalogueFolder)), 'caster', leaf(file));
}

const bySku = ({ skus }: PartWork) => skus;

/** A part's facts; its files are megabytes and are not kept. */
function readFacts({ key }: PartWork, { records }: Source) {
  return records.get('part', key, (bytes) => decodePart(bytes).facts);
}

/** What the caster is told of a band; undefined unless all its parts are there. */
async function casterFacts(band: Variant, source: Source): Promise<CasterFacts | undefined> {
  const { caster } = source.plan;
  const solid = caster && (await shapeFacts(band.shape, source));
  if (!solid) return undefined;
  const own = grouped(source.pieces(PART), bySku).get(band.sku) ?? [];
  const parts: CasterFacts['parts'] = [];
  for (const [alloy, lanes] of lanesByAlloy(band.dress.alloys)) {
    const part = own.find((p) => p.alloy === alloy);
    const facts = part && (await readFacts(part, source));
    if (!facts) return undefined;
    const files = facts.files.map((f) => ({ ...f, file: partFile(part, f.format, caster) }));
    parts.push(partFacts(alloy, lanes, solid, facts, caster, files));
  }
  const { shrinkage, polishMm, sprue } = caster;
  return { shrinkage, polishMm, sprue, parts };
}

/** Files of every part that the store holds. */
async function partFiles(source: Source): Promise<KeyedFile[]> {
  const files: KeyedFile[] = [];
  const { caster } = source.plan;
  if (!caster) return files;
  for (const part of source.pieces(PART)) {
    const facts = await readFacts(part, source);
    for (const [i, { format, bytes: length, sha256 }] of (facts?.files ?? []).entries())
      files.push({
        file: partFile(part, format, caster),
        bytes: length,
        sha256,
        data: async () => {
          const again = await source.store.get('part', part.key);
          if (!again) throw new ArtefactLost(`part ${part.key} left the store while it was being published`);
          return decodePart(again).data[i];
        },
      });
  }
  return files;
}

const noteOf = ({ plan, pieces }: Source) => casterNote({ plan, parts: pieces(PART) });

async function* casterFolder(making: Making): AsyncGenerator<BenchFile> {
  yield { name: 'READ-ME.txt', data: async () => Buffer.from(noteOf(making)) };
  for (const { file, bytes, data } of await partFiles(making)) yield { name: leaf(file), bytes, data };
  for await (const band of factsOfWanted(making))
    for (const { name, data } of stoneLists([band], making.plan)) yield { name, data: async () => data };
}

function plannedFiles({ plan, pieces }: Source): string[] {
  const { caster } = plan;
  const files = (part: PartWork, caster: CasterPlan) =>
    (['stl', '3mf'] as const).map((format) => leaf(partFile(part, format, caster)));
  return [
    ...(caster ? pieces(PART).flatMap((part) => files(part, caster)) : []),
    ...distinctBands(plan).map(({ sku }) => `${sku}-stones.csv`),
  ];
}

const leaf = (file: string) => file.slice(file.lastIndexOf('/') + 1);
