import type { BuiltShape } from '../band/built-shape.ts';
import { withPolishAllowance } from '../band/polish-allowance.ts';
import type { CasterFacts } from '../facts/catalogue-schema.ts';
import { alloyRow } from '../facts/looks.ts';
import type { SolidFacts } from '../facts/solid-facts.ts';
import { type CastPart, castPart, labelName } from '../model/cast-part.ts';
import type { ShapeDesign } from '../plan/design.ts';
import type { CasterPlan, Variant } from '../plan/plan.ts';
import type { KeyedFile } from '../publish/catalogue.ts';
import { buildShape } from '../setting/build-shape.ts';
import { ArtefactLost } from '../store/artefact-store.ts';
import { gramsOf } from '../trade/mass.ts';
import type { ItemSource } from './items.ts';
import { decodePart } from './part-bundle.ts';
import { lanesByAlloy, type PartWork } from './work.ts';

/** File of a part, named by what it allows for, alloy and content. */
export function partFile(part: PartWork, format: 'stl' | '3mf', caster: CasterPlan): string {
  const label = labelName({ ...caster, uncastable: alloyRow(part.alloy).uncastable });
  return `models/bench/${label}_${part.alloy}-${part.key.slice(0, 12)}.${format}`;
}

/**
 * @param shape as finished; it is built anew where metal is left on for polishing
 * @throws ProblemError if the band cannot be built with the allowance
 */
export async function buildPart(
  design: ShapeDesign,
  shape: BuiltShape,
  part: Pick<PartWork, 'alloy' | 'lanes'>,
  caster: CasterPlan,
): Promise<CastPart> {
  const counts = shape.fits.map(({ count }) => count);
  const cast =
    caster.polishMm > 0 ? await buildShape(withPolishAllowance(design, caster.polishMm, counts)) : shape;
  const lanes = part.lanes.map((lane) => shape.lanes[lane].name).join(', ');
  const title = `${part.alloy}, ${lanes}, bore ${shape.innerDiameterMm.toFixed(2)} mm`;
  return castPart(cast, part.lanes, title, { ...caster, uncastable: alloyRow(part.alloy).uncastable });
}

/** What the caster is told of a band; undefined unless all its parts are there. */
export async function casterFacts(
  band: Variant,
  solid: SolidFacts,
  { work, store }: Pick<ItemSource, 'work' | 'store'>,
): Promise<CasterFacts | undefined> {
  const { caster } = work.plan;
  if (!caster) return undefined;
  const parts: CasterFacts['parts'] = [];
  for (const [alloy, lanes] of lanesByAlloy(band.dress.alloys)) {
    const part = work.parts.find((p) => p.alloy === alloy && p.skus.includes(band.sku));
    const bytes = part && (await store.get('part', part.key));
    if (!part || !bytes) return undefined;
    const { facts } = decodePart(bytes);
    const files = facts.files.map((f) => ({ ...f, file: partFile(part, f.format, caster) }));
    parts.push(partFacts(alloy, lanes, solid, facts, caster, files));
  }
  const { shrinkage, polishMm, sprue } = caster;
  return { shrinkage, polishMm, sprue, parts };
}

/** What the caster is told of one alloy's part. */
export function partFacts(
  alloy: string,
  lanes: readonly number[],
  solid: SolidFacts,
  { pieces, volumeMm3 }: Pick<CastPart, 'pieces' | 'volumeMm3'>,
  { sprue }: CasterPlan,
  files: CasterFacts['parts'][number]['files'],
): CasterFacts['parts'][number] {
  const { density } = alloyRow(alloy);
  const finished = lanes.reduce((sum, lane) => sum + solid.lanes[lane].volumeMm3, 0);
  return {
    alloy,
    lanes: lanes.map((lane) => solid.lanes[lane].name),
    pieces,
    finishedMassG: gramsOf(finished, density),
    castVolumeMm3: volumeMm3,
    castMassG: gramsOf(volumeMm3, density) * (1 + sprue),
    files,
  };
}

/** Files of every part that the store holds. */
export async function catalogueParts({
  work,
  store,
}: Pick<ItemSource, 'work' | 'store'>): Promise<KeyedFile[]> {
  const files: KeyedFile[] = [];
  const { caster } = work.plan;
  if (!caster) return files;
  for (const part of work.parts) {
    const bytes = await store.get('part', part.key);
    if (!bytes) continue;
    decodePart(bytes).facts.files.forEach(({ format, bytes: length, sha256 }, i) => {
      files.push({
        file: partFile(part, format, caster),
        bytes: length,
        sha256,
        data: async () => {
          const again = await store.get('part', part.key);
          if (!again) throw new ArtefactLost(`part ${part.key} left the store while it was being published`);
          return decodePart(again).data[i];
        },
      });
    });
  }
  return files;
}
