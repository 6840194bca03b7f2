import type { SectionDesign, ShapeDesign } from '../../pipeline/plan/design.ts';
import type { SeamDesign } from '../../pipeline/plan/seam-design.ts';
import { bandDesign } from './designs.ts';

export const SOFT = { domeMm: 0, comfortMm: 0.2, edgeMm: 0.15, boreEdgeMm: 0.15 } as const;
export const BEVEL = { lowMm: 1, highMm: 1.3, lowRad: 0.45, highRad: 0.4, roundMm: 0.06 } as const;
export const RIDGE = { lowRad: 0.42, highRad: 0.36, roundMm: 0.1 } as const;
export const STEP = { sides: 'both', widthMm: 0.8, depthMm: 0.4, softenMm: 0.08, footMm: 0.1 } as const;

const wave = (amplitudeMm: number): SeamDesign => ({
  kind: 'wave',
  atMm: 0.2,
  amplitudeMm,
  periods: 3,
  sharpness: 0.2,
  phaseRad: 0.2,
});

const body = (section: SectionDesign, change: Partial<ShapeDesign> = {}) =>
  bandDesign({ widthMm: 5, thicknessMm: 1.9, section, ...change });

const parted = (amplitudeMm: number, backMm?: number): Partial<ShapeDesign> => ({
  seams: [wave(amplitudeMm)],
  lanes: ['near', 'far'].map((name) => ({ name, recessMm: 0, softenMm: 0.05 })),
  ...(backMm !== undefined && {
    taper: { widthMm: 3.8, thicknessMm: 1.5, seams: [wave(backMm)] },
  }),
});

/** A body of every kind, and some that are several at once; seams run over corners where they can. */
export const BODIES: Record<string, ShapeDesign> = {
  bevelled: body({ name: 'bevelled', ...SOFT, bevel: BEVEL }),
  'knife-edge with its ridge off the middle': body({
    name: 'knife-edge',
    ...SOFT,
    ridge: RIDGE,
    crestMm: 0.4,
  }),
  'court with its crest off the middle': body({
    name: 'court',
    ...SOFT,
    domeMm: 0.35,
    farDomeMm: 0.5,
    crestMm: -0.7,
    farEdgeMm: 0.3,
  }),
  'tapered court': body({ name: 'court', ...SOFT, domeMm: 0.4 }, parted(0.4, 0.3)),
  stepped: body({ name: 'flat-court', ...SOFT, step: STEP }),
  'stepped dome on one side': body({
    name: 'd',
    ...SOFT,
    domeMm: 0.3,
    comfortMm: 0,
    step: { ...STEP, sides: 'high' },
  }),
  'chamfers under a wave': body({ name: 'bevelled', ...SOFT, bevel: BEVEL }, parted(1.7)),
  'ridge under a wave': body({ name: 'knife-edge', ...SOFT, ridge: RIDGE, crestMm: 0.4 }, parted(1.2)),
  'tapered knife-edge under a wave': (() => {
    const design = body({ name: 'knife-edge', ...SOFT, ridge: RIDGE, crestMm: 0.4 }, parted(1.2, 0.9));
    return { ...design, taper: { ...design.taper!, crestMm: 0.25 } };
  })(),
  'tapered, stepped and bevelled': (() => {
    const bevel = { ...BEVEL, lowMm: 0.6, highMm: 0.7 };
    const step = { ...STEP, depthMm: 0.3, softenMm: 0.06, footMm: 0.05 };
    const design = body({ name: 'bevelled', ...SOFT, bevel, step }, parted(0.5, 0.3));
    return { ...design, taper: { ...design.taper!, widthMm: 4.4, bevelMm: [0.5, 0.6] as [number, number] } };
  })(),
};
