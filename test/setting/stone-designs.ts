import type { RowDesign, ShapeDesign } from '../../pipeline/plan/design.ts';
import { bandDesign } from '../band/designs.ts';

export function rowDesign(change: Partial<RowDesign> = {}): RowDesign {
  return {
    name: 'row',
    lane: 'all',
    cut: 'round-brilliant',
    diameterMm: 1.5,
    coverage: { kind: 'full' },
    count: 'fit',
    leastGapMm: 0.12,
    setDepthMm: 0.05,
    holeShare: 0.5,
    setting: { style: 'shared-claws', clawDiameterMm: 0.52, clawHeightMm: 0.28 },
    ...change,
  };
}

/** As small as bands come: a row round a larger one shows the same of more stones. */
export const SMALL = { circumferenceMm: 40 };

/** A flat band with a straight full row. */
export function straightRowDesign(
  row: Partial<RowDesign> = {},
  change: Partial<ShapeDesign> = {},
): ShapeDesign {
  return bandDesign({
    widthMm: 3,
    thicknessMm: 1.9,
    section: { name: 'flat', domeMm: 0, comfortMm: 0, edgeMm: 0.2, boreEdgeMm: 0.15 },
    rows: [rowDesign(row)],
    chordToleranceMm: 0.02,
    ...change,
  });
}

/** Three lanes, the middle one a recessed ribbon between two parallel waves, carrying the row. */
export function wavyRowDesign(row: Partial<RowDesign> = {}, change: Partial<ShapeDesign> = {}): ShapeDesign {
  const wave = { kind: 'wave', amplitudeMm: 0.4, periods: 4, sharpness: 0.5, phaseRad: 0 } as const;
  return bandDesign({
    widthMm: 5.4,
    thicknessMm: 1.7,
    section: { name: 'court', domeMm: 0.3, comfortMm: 0.15, edgeMm: 0.25, boreEdgeMm: 0.2 },
    seams: [
      { ...wave, atMm: -0.9 },
      { ...wave, atMm: 1.2 },
    ],
    lanes: [
      { name: 'left', recessMm: 0, softenMm: 0.25 },
      { name: 'ribbon', recessMm: 0.1, softenMm: 0.15 },
      { name: 'right', recessMm: 0, softenMm: 0.25 },
    ],
    rows: [
      rowDesign({
        lane: 'ribbon',
        diameterMm: 1.2,
        setting: { style: 'shared-claws', clawDiameterMm: 0.46, clawHeightMm: 0.22 },
        ...row,
      }),
    ],
    chordToleranceMm: 0.02,
    ...change,
  });
}

/** Grains in a field with a bright-cut rim. */
export const BRIGHT_GRAIN = {
  style: 'grain',
  grainMm: 0.34,
  grains: 'own',
  fieldMm: 0.25,
  fieldDepthMm: 0.1,
  brightCut: true,
} as const;

/** Finer grains in a field without bright-cut. */
export const PLAIN_GRAIN = {
  style: 'grain',
  grainMm: 0.3,
  grains: 'own',
  fieldMm: 0.2,
  fieldDepthMm: 0.1,
  brightCut: false,
} as const;
