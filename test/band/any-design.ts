import fc from 'fast-check';
import type { LaneDesign, SeamDesign, ShapeDesign } from '../../pipeline/catalogue/design.ts';

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

/** What a lane may carry beside its recess and softening; `inlay` is let into the lane before it or after it. */
interface Trait {
  recessMm: number;
  softenMm: number;
  inlay?: { depthMm: number; side: 1 | -1 };
}

const trait: fc.Arbitrary<Trait> = fc.record({
  recessMm: length(0, 0.5),
  softenMm: length(0, 0.35),
  inlay: fc.oneof(
    { weight: 2, arbitrary: fc.constant(undefined) },
    {
      weight: 1,
      arbitrary: fc.record({ depthMm: length(0.2, 1.4), side: fc.constantFrom(1 as const, -1 as const) }),
    },
  ),
});

/** Lanes with their traits; an inlay without a bed on the wanted side takes the other, or its chance. */
function lanesWith(traits: Trait[]): LaneDesign[] {
  const through = (i: number) => i >= 0 && i < traits.length && !traits[i].inlay;
  return traits.map(({ recessMm, softenMm, inlay }, i) => {
    const lane = { name: `lane ${i}`, recessMm, softenMm };
    if (!inlay) return lane;
    const bed = [i + inlay.side, i - inlay.side].find(through) ?? i + inlay.side;
    return { ...lane, inlay: { depthMm: inlay.depthMm, bed: `lane ${bed}` } };
  });
}

const body = {
  circumferenceMm: length(42, 75),
  thicknessMm: length(1, 2.6),
  name: fc.constantFrom('court' as const, 'concave' as const),
  domeMm: length(0, 0.9),
  comfortMm: length(0, 0.4),
  edgeMm: fc.oneof(fc.constant(0), length(0.02, 0.5)),
  boreEdgeMm: fc.oneof(fc.constant(0), length(0.02, 0.4)),
};

/** Designs without stones, many of which cannot be built; coarse, to be quick. */
export const anyDesign: fc.Arbitrary<ShapeDesign> = fc
  .record({
    ...body,
    widthMm: length(2, 8),
    seams: fc.array(seam, { maxLength: 3 }),
    traits: fc.array(trait, { minLength: 4, maxLength: 4 }),
  })
  .map(({ name, domeMm, comfortMm, edgeMm, boreEdgeMm, seams, traits, ...rest }) => ({
    ...rest,
    section: { name, domeMm, comfortMm, edgeMm, boreEdgeMm },
    seams: [...seams].sort((a, b) => middle(a) - middle(b)),
    lanes: lanesWith(traits.slice(0, seams.length + 1)),
    rows: [],
    chordToleranceMm: 0.02,
  }));

/** Two to seven lanes with room for each, most of which can be built; seams swing within what their lanes leave. */
export const manyLanes: fc.Arbitrary<ShapeDesign> = fc
  .record({
    ...body,
    traits: fc.array(trait, { minLength: 2, maxLength: 7 }),
    rooms: fc.array(length(0.9, 1.8), { minLength: 7, maxLength: 7 }),
    swings: fc.array(fc.tuple(length(0, 0.25), fc.integer({ min: 1, max: 9 }), length(0, 6.3)), {
      minLength: 6,
      maxLength: 6,
    }),
  })
  .map(({ name, domeMm, comfortMm, edgeMm, boreEdgeMm, traits, rooms, swings, ...rest }) => {
    const widths = rooms.slice(0, traits.length);
    const widthMm = widths.reduce((sum, w) => sum + w, 0);
    let at = -widthMm / 2;
    const seams = widths.slice(1).map((_, i): SeamDesign => {
      at += widths[i];
      const [amplitudeMm, periods, phaseRad] = swings[i];
      return i % 3 === 2
        ? { kind: 'drift', fromMm: at - amplitudeMm, toMm: at + amplitudeMm, phaseRad }
        : { kind: 'wave', atMm: at, amplitudeMm, periods, sharpness: 0.3, phaseRad };
    });
    const flat = 0.25;
    return {
      ...rest,
      widthMm,
      section: {
        name,
        domeMm: flat * domeMm,
        comfortMm: flat * comfortMm,
        edgeMm: flat * edgeMm,
        boreEdgeMm: flat * boreEdgeMm,
      },
      seams,
      lanes: lanesWith(traits.map((t) => ({ ...t, recessMm: 0.3 * t.recessMm, softenMm: 0.4 * t.softenMm }))),
      rows: [],
      chordToleranceMm: 0.05,
    };
  });
