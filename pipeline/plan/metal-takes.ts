import { contentKey } from '../store/content-key.ts';
import type { ShapeDesign } from './design.ts';
import type {
  AlloyId,
  ColourwayPlan,
  Dress,
  FinishId,
  ShapeKey,
  ShotPlan,
  Sku,
  TakePlan,
  Variant,
} from './plan.ts';
import { mattersOf, takeId } from './takes.ts';

/** A plain polished-edge band of usual proportions, close enough for the marks of its finish to be seen. */
const BAND: ShapeDesign = {
  circumferenceMm: 54,
  widthMm: 6,
  thicknessMm: 1.8,
  section: { name: 'flat-court', domeMm: 0, comfortMm: 0.2, edgeMm: 0.3, boreEdgeMm: 0.2 },
  seams: [],
  lanes: [{ name: 'metal', recessMm: 0, softenMm: 0 }],
  rows: [],
  chordToleranceMm: 0.003,
};
/** Side of a close-up, px. */
const SIDE = 480;

/**
 * One take per finish with all metals that are worn in it, in the light of the catalogue's first shot, so that nothing
 * but colour differs between the swatches of a finish and nothing but the finish between those of a metal.
 */
export function metalTakes(
  variants: readonly Variant[],
  { lights, studio }: ShotPlan,
): { shapes: Record<string, ShapeDesign>; takes: TakePlan[] } {
  const worn = new Map<string, { finish: FinishId; alloys: Map<AlloyId, { sku: Sku; dress: Dress }> }>();
  for (const { sku, dress } of variants)
    dress.finishes.forEach((finish, lane) => {
      const alloy = dress.alloys[lane];
      const pattern = dress.patterns?.[lane];
      const alone: Dress = {
        alloys: [alloy],
        finishes: [finish],
        stones: [],
        ...(pattern && { patterns: [pattern] }),
      };
      // what decides paths beside the finish: a body of colour, a pattern
      const { matters } = mattersOf([alone]);
      const like = matters ? `${finish} ${JSON.stringify(matters)}` : finish;
      const group = worn.get(like) ?? { finish, alloys: new Map() };
      worn.set(like, group);
      if (!group.alloys.has(alloy)) group.alloys.set(alloy, { sku, dress: alone });
    });
  const shape = `metals-${contentKey(BAND)}` as ShapeKey;
  const takes = [...worn.values()].map(({ finish, alloys }): TakePlan => {
    const colourways = [...alloys.values()].map(
      ({ dress }): ColourwayPlan => ({ dresses: [dress], pictures: [] }),
    );
    const { matters } = mattersOf(colourways[0].dresses);
    const shot: ShotPlan = {
      name: matters ? `metals-${finish}-${[...alloys.keys()][0]}` : `metals-${finish}`,
      view: 'macro',
      lights,
      studio,
      ground: { kind: 'white' },
      widthPx: SIDE,
      heightPx: SIDE,
    };
    const id = takeId(shot, { shot, shape, ...(matters && { matters }) });
    return {
      id,
      shot,
      shapes: [shape],
      finishes: [[finish]],
      optics: [[]],
      colourways,
      ...(matters && { matters }),
      metals: [...alloys.values()].map(({ sku }) => sku),
    };
  });
  return { shapes: { [shape]: BAND }, takes };
}
