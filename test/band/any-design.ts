import fc from 'fast-check';
import type { SeamDesign, ShapeDesign } from '../../pipeline/catalogue/design.ts';

const length = (min: number, max: number) => fc.double({ min, max, noNaN: true });

const seam: fc.Arbitrary<SeamDesign> = fc.oneof(
  fc.record({ kind: fc.constant('straight' as const), atMm: length(-1.5, 1.5) }),
  fc.record({
    kind: fc.constant('wave' as const),
    atMm: length(-1.2, 1.2),
    amplitudeMm: length(0, 0.9),
    periods: fc.integer({ min: 1, max: 9 }),
    sharpness: length(0, 0.9),
    phaseRad: length(0, 6.3),
  }),
  fc.record({
    kind: fc.constant('drift' as const),
    fromMm: length(-1.5, 1.5),
    toMm: length(-1.5, 1.5),
    phaseRad: length(-3, 3),
  }),
  fc.record({
    kind: fc.constant('points' as const),
    zMm: fc.array(length(-1, 1), { minLength: 3, maxLength: 8 }),
    phaseRad: length(-3, 3),
  }),
);

/** Where a seam lies in the middle of its swing. */
function middle(seam: SeamDesign): number {
  if (seam.kind === 'drift') return (seam.fromMm + seam.toMm) / 2;
  if (seam.kind === 'points') return seam.zMm.reduce((sum, z) => sum + z, 0) / seam.zMm.length;
  return seam.atMm;
}

/** Designs without stones, many of which cannot be built; coarse, to be quick. */
export const anyDesign: fc.Arbitrary<ShapeDesign> = fc
  .record({
    circumferenceMm: length(42, 75),
    widthMm: length(2, 8),
    thicknessMm: length(1, 2.6),
    name: fc.constantFrom('court' as const, 'concave' as const),
    domeMm: length(0, 0.9),
    comfortMm: length(0, 0.4),
    edgeMm: fc.oneof(fc.constant(0), length(0.02, 0.5)),
    boreEdgeMm: fc.oneof(fc.constant(0), length(0.02, 0.4)),
    seams: fc.array(seam, { maxLength: 3 }),
    softenings: fc.array(length(0, 0.35), { minLength: 4, maxLength: 4 }),
    recesses: fc.array(length(0, 0.5), { minLength: 4, maxLength: 4 }),
  })
  .map(({ name, domeMm, comfortMm, edgeMm, boreEdgeMm, seams, softenings, recesses, ...rest }) => ({
    ...rest,
    section: { name, domeMm, comfortMm, edgeMm, boreEdgeMm },
    seams: [...seams].sort((a, b) => middle(a) - middle(b)),
    lanes: Array.from({ length: seams.length + 1 }, (_, i) => ({
      name: `lane ${i}`,
      recessMm: recesses[i],
      softenMm: softenings[i],
    })),
    rows: [],
    chordToleranceMm: 0.02,
  }));
