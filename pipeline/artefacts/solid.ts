import { bandFacts } from '../facts/band-facts.ts';
import type { BandFacts } from '../facts/catalogue-schema.ts';
import { decodeFacts, type SolidFacts } from '../facts/solid-facts.ts';
import type { ShapeKey, Variant } from '../plan/plan.ts';
import { shapesOf } from '../plan/shapes.ts';
import type { Result } from '../problem.ts';
import type { ContentKey } from '../store/content-key.ts';
import { artefactKey } from '../store/content-key.ts';
import { grouped } from './grouped.ts';
import type { Kind, Source } from './kind.ts';
import { lacking } from './lacking.ts';
import { skusOfShape } from './subject.ts';

export interface ShapeWork {
  /** key of `Plan.shapes` */
  shape: ShapeKey;
  key: ContentKey;
}

/**
 * The solids themselves. They are never kept: what is traced and modelled of them hangs on this key, and on nothing that
 * the bench says.
 */
export const GEOMETRY: Kind<ShapeWork> = {
  name: 'geometry',
  code: ['setting/build-solids.ts'],
  plan: ({ plan, versions }) =>
    shapesOf(plan).map(([shape, design]) => ({
      shape,
      key: artefactKey({ layer: 'geometry', engine: versions.geometry, design }),
    })),
};

/** A shape's facts, bench checks included. The bench of shapes stores them whenever it builds one. */
export const SOLID: Kind<ShapeWork> = {
  name: 'solid',
  code: ['setting/build-shape.ts', 'facts/solid-facts.ts'],
  plan: ({ plan, versions }) =>
    shapesOf(plan).map(([shape, design]) => ({
      shape,
      key: artefactKey({ layer: 'solid', engine: versions.solid, design, limits: plan.limits }),
    })),
  skus: ({ shape }, plan) => skusOfShape(plan, shape),
  uses: ({ key }) => [`solid/${key}`],
  costs: [{ name: 'shape', guess: { seconds: 1.5, bytes: 0 }, copies: 1 }],
};

/** shape → content key of its solids */
export function geometryKeys({ pieces }: Pick<Source, 'pieces'>): ReadonlyMap<ShapeKey, ContentKey> {
  return new Map(pieces(GEOMETRY).map(({ shape, key }) => [shape, key]));
}

const byShape = ({ shape }: ShapeWork) => [shape];

/** Content key of a shape's facts. @throws RangeError if the plan has no such shape */
export function solidKey(shape: ShapeKey, { pieces }: Pick<Source, 'pieces'>): ContentKey {
  const [work] = grouped(pieces(SOLID), byShape).get(shape) ?? [];
  if (!work) throw new RangeError(`the plan has no shape ${shape}`);
  return work.key;
}

export function shapeFacts(shape: ShapeKey, source: Source): Promise<SolidFacts | undefined> {
  return source.records.get('solid', solidKey(shape, source), decodeFacts);
}

/** Facts of bands with all that the kinds tell of them; refused where a band could not be built. */
export async function factsOfBands(bands: readonly Variant[], source: Source): Promise<Result<BandFacts[]>> {
  const facts: BandFacts[] = [];
  for (const band of bands) {
    const solid = await shapeFacts(band.shape, source);
    if (!solid) return lacking(`no solids of ${band.sku}`, band.sku);
    const told: Partial<BandFacts> = {};
    for (const kind of source.kinds) Object.assign(told, await kind.tell?.(band, source));
    facts.push(bandFacts(band, solid, source.plan, told, told.caster));
  }
  return facts;
}
