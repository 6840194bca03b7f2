import { contentKey } from '../store/content-key.ts';
import type { ShapeDesign } from './design.ts';
import type { AlloyId, ColourwayPlan, FinishId, ShapeKey, ShotPlan, Sku, TakePlan, Variant } from './plan.ts';
import { takeId } from './takes.ts';

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
  const worn = new Map<FinishId, Map<AlloyId, Sku>>();
  for (const { sku, dress } of variants)
    dress.finishes.forEach((finish, lane) => {
      const alloys = worn.get(finish) ?? new Map<AlloyId, Sku>();
      worn.set(finish, alloys);
      if (!alloys.has(dress.alloys[lane])) alloys.set(dress.alloys[lane], sku);
    });
  const shape = `metals-${contentKey(BAND)}` as ShapeKey;
  const takes = [...worn].map(([finish, alloys]): TakePlan => {
    const colourways = [...alloys.keys()].map(
      (alloy): ColourwayPlan => ({
        dresses: [{ alloys: [alloy], finishes: [finish], stones: [] }],
        pictures: [],
      }),
    );
    const shot: ShotPlan = {
      name: `metals-${finish}`,
      view: 'macro',
      lights,
      studio,
      ground: { kind: 'white' },
      widthPx: SIDE,
      heightPx: SIDE,
    };
    const id = takeId(shot, { shot, shape });
    return {
      id,
      shot,
      shapes: [shape],
      finishes: [[finish]],
      optics: [[]],
      colourways,
      metals: [...alloys.values()],
    };
  });
  return { shapes: { [shape]: BAND }, takes };
}
