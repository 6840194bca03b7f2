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

const names = ['court', 'concave', 'd', 'flat-court', 'bevelled', 'knife-edge'] as const;

const flats = {
  lowRad: length(0.05, 0.7),
  highRad: length(0.05, 0.7),
  roundMm: length(0.02, 0.4),
};

const step = fc.record({
  sides: fc.constantFrom('low' as const, 'high' as const, 'both' as const),
  widthMm: length(0.2, 1.2),
  depthMm: length(0.05, 0.6),
  softenMm: fc.oneof(fc.constant(0), length(0.01, 0.2)),
  footMm: fc.oneof(fc.constant(0), length(0.01, 0.2)),
});

/** What the back measures, as shares of the top: every place along the width follows it. */
const taper = fc.record({ width: length(0.4, 1.2), thickness: length(0.5, 1.2) });

const sometimes = <T>(value: fc.Arbitrary<T>) => fc.option(value, { nil: undefined, freq: 2 });

const section = fc.record({
  name: fc.constantFrom(...names),
  domeMm: length(0, 0.9),
  farDomeMm: sometimes(length(0, 0.9)),
  crest: sometimes(length(-0.4, 0.4)),
  chamfers: fc.tuple(length(0.1, 1.5), length(0.1, 1.5)),
  flats: fc.record(flats),
  step: sometimes(step),
  comfortMm: length(0, 0.4),
  edgeMm: fc.oneof(fc.constant(0), length(0.02, 0.5)),
  farEdgeMm: sometimes(length(0, 0.5)),
  boreEdgeMm: fc.oneof(fc.constant(0), length(0.02, 0.4)),
});

/** A seam on a band that is `share` times as wide. */
function narrowed(seam: SeamDesign, share: number): SeamDesign {
  switch (seam.kind) {
    case 'straight':
      return { ...seam, atMm: seam.atMm * share };
    case 'wave':
      return { ...seam, atMm: seam.atMm * share, amplitudeMm: seam.amplitudeMm * share };
    case 'drift':
      return { ...seam, fromMm: seam.fromMm * share, toMm: seam.toMm * share };
    case 'points':
      return { ...seam, zMm: seam.zMm.map((z) => z * share) };
  }
}

/** Designs without stones, many of which cannot be built; coarse, to be quick. */
export const anyDesign: fc.Arbitrary<ShapeDesign> = fc
  .record({
    circumferenceMm: length(42, 75),
    widthMm: length(2, 8),
    thicknessMm: length(1, 2.6),
    section,
    taper: sometimes(taper),
    seams: fc.array(seam, { maxLength: 3 }),
    softenings: fc.array(length(0, 0.35), { minLength: 4, maxLength: 4 }),
    recesses: fc.array(length(0, 0.5), { minLength: 4, maxLength: 4 }),
  })
  .map(({ section: s, taper: t, seams, softenings, recesses, widthMm, thicknessMm, ...rest }) => {
    const { crest, chamfers, flats: f, farDomeMm, farEdgeMm, step: stepped, ...measures } = s;
    const [lowMm, highMm] = chamfers;
    const crestMm = crest === undefined ? undefined : crest * widthMm;
    const ordered = [...seams].sort((a, b) => middle(a) - middle(b));
    return {
      ...rest,
      widthMm,
      thicknessMm,
      section: {
        ...measures,
        ...(farDomeMm !== undefined && { farDomeMm }),
        ...(farEdgeMm !== undefined && { farEdgeMm }),
        ...(crestMm !== undefined && { crestMm }),
        ...(stepped && { step: stepped }),
        ...(s.name === 'bevelled' && { bevel: { lowMm, highMm, ...f } }),
        ...(s.name === 'knife-edge' && { ridge: f }),
      },
      ...(t && {
        taper: {
          widthMm: widthMm * t.width,
          thicknessMm: thicknessMm * t.thickness,
          seams: ordered.map((each) => narrowed(each, t.width)),
          ...(crestMm !== undefined && { crestMm: crestMm * t.width }),
        },
      }),
      seams: ordered,
      lanes: Array.from({ length: seams.length + 1 }, (_, i) => ({
        name: `lane ${i}`,
        recessMm: recesses[i],
        softenMm: softenings[i],
      })),
      rows: [],
      chordToleranceMm: 0.02,
    };
  });
