import fc from 'fast-check';
import type { LaneDesign, SectionDesign, ShapeDesign } from '../../pipeline/plan/design.ts';
import type { SeamDesign } from '../../pipeline/plan/seam-design.ts';
import type { OutlineDesign, TaperDesign } from '../../pipeline/plan/width-design.ts';

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
    kind: fc.constant('peak' as const),
    atMm: length(-1.2, 1.2),
    heightMm: length(-1.5, 1.5),
    spanRad: length(0.5, 6.2),
    roundness: length(0.1, 1),
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

const measures = {
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
};

/** A seam on a band that is `share` times as wide. */
function narrowed(seam: SeamDesign, share: number): SeamDesign {
  switch (seam.kind) {
    case 'straight':
      return { ...seam, atMm: seam.atMm * share };
    case 'wave':
      return { ...seam, atMm: seam.atMm * share, amplitudeMm: seam.amplitudeMm * share };
    case 'drift':
      return { ...seam, fromMm: seam.fromMm * share, toMm: seam.toMm * share };
    case 'peak':
      return { ...seam, atMm: seam.atMm * share, heightMm: seam.heightMm * share };
    case 'points':
      return { ...seam, zMm: seam.zMm.map((z) => z * share) };
  }
}

/** Measures of a section as drawn for a band of this width. */
type Measures = {
  [K in keyof typeof measures]: (typeof measures)[K] extends fc.Arbitrary<infer T> ? T : never;
};

function sectionDesign(m: Measures, widthMm: number): SectionDesign {
  const { crest, chamfers, flats: f, farDomeMm, farEdgeMm, step: stepped, ...plain } = m;
  const [lowMm, highMm] = chamfers;
  return {
    ...plain,
    ...(farDomeMm !== undefined && { farDomeMm }),
    ...(farEdgeMm !== undefined && { farEdgeMm }),
    ...(crest !== undefined && { crestMm: crest * widthMm }),
    ...(stepped && { step: stepped }),
    ...(m.name === 'bevelled' && { bevel: { lowMm, highMm, ...f } }),
    ...(m.name === 'knife-edge' && { ridge: f }),
  };
}

/** A section whose heights, softenings and steps are small, so that most bands of several lanes can wear it. */
function gentle(m: Measures, share: number): Measures {
  const { step: stepped, farDomeMm, farEdgeMm } = m;
  return {
    ...m,
    domeMm: share * m.domeMm,
    farDomeMm: farDomeMm && share * farDomeMm,
    crest: m.crest && share * m.crest,
    flats: { ...m.flats, lowRad: share * m.flats.lowRad, highRad: share * m.flats.highRad },
    step: stepped && {
      ...stepped,
      widthMm: 0.2 + share * (stepped.widthMm - 0.2),
      depthMm: 0.1 + share * stepped.depthMm,
      softenMm: share * stepped.softenMm,
      footMm: share * stepped.footMm,
    },
    comfortMm: share * m.comfortMm,
    edgeMm: share * m.edgeMm,
    farEdgeMm: farEdgeMm && share * farEdgeMm,
    boreEdgeMm: share * m.boreEdgeMm,
  };
}

function taperDesign(
  t: { width: number; thickness: number },
  { widthMm, thicknessMm, section, seams }: Omit<ShapeDesign, 'taper'>,
): TaperDesign {
  const { crestMm } = section;
  return {
    widthMm: widthMm * t.width,
    thicknessMm: thicknessMm * t.thickness,
    seams: seams.map((each) => narrowed(each, t.width)),
    ...(crestMm !== undefined && { crestMm: crestMm * t.width }),
  };
}

/** A run of the middle line and of the width, the second as shares of what the band is wide. */
const outline = fc.record({
  middle: sometimes(seam),
  width: sometimes(fc.array(length(0.6, 1.3), { minLength: 3, maxLength: 7 })),
  measured: fc.constantFrom('square' as const, 'finger' as const),
  around: sometimes(
    fc.record({
      headMm: length(4, 9),
      shankMm: length(1.5, 3),
      gapMm: length(0, 0.3),
      edge: fc.constantFrom('first' as const, 'second' as const),
      roundness: length(0.1, 1),
    }),
  ),
});

type Outlined = typeof outline extends fc.Arbitrary<infer T> ? T : never;

function outlineDesign(
  { middle, width, measured, around }: Outlined,
  { widthMm, section, seams }: ShapeDesign,
): OutlineDesign {
  return {
    measured,
    ...(around ? { around } : middle && { middle }),
    ...(width && {
      width: { kind: 'points' as const, zMm: width.map((share) => share * widthMm), phaseRad: 0.3 },
    }),
    other: {
      widthMm: 2 * widthMm,
      seams: seams.map((each) => narrowed(each, 2)),
      ...(section.crestMm !== undefined && { crestMm: 2 * section.crestMm }),
    },
  };
}

const body = {
  circumferenceMm: length(42, 75),
  thicknessMm: length(1, 2.6),
  section: fc.record(measures),
  taper: sometimes(taper),
  outline: fc.oneof({ weight: 7, arbitrary: fc.constant(undefined) }, { weight: 1, arbitrary: outline }),
};

/** Designs without stones, many of which cannot be built; coarse, to be quick. */
export const anyDesign: fc.Arbitrary<ShapeDesign> = fc
  .record({
    ...body,
    widthMm: length(2, 8),
    seams: fc.array(seam, { maxLength: 3 }),
    traits: fc.array(trait, { minLength: 4, maxLength: 4 }),
  })
  .map(({ section, taper: t, outline: o, seams, traits, ...rest }) => {
    const design: ShapeDesign = {
      ...rest,
      section: sectionDesign(section, rest.widthMm),
      seams: [...seams].sort((a, b) => middle(a) - middle(b)),
      lanes: lanesWith(traits.slice(0, seams.length + 1)),
      rows: [],
      chordToleranceMm: 0.04,
    };
    return {
      ...design,
      ...(t && { taper: taperDesign(t, design) }),
      ...(o && { outline: outlineDesign(o, design) }),
    };
  });

/** Two to seven lanes with room for each, most of which can be built; seams swing within what their lanes leave. */
export const manyLanes: fc.Arbitrary<ShapeDesign> = fc
  .record({
    ...body,
    taper: sometimes(fc.record({ width: length(0.85, 1.1), thickness: length(0.8, 1.1) })),
    traits: fc.array(trait, { minLength: 2, maxLength: 7 }),
    rooms: fc.array(length(0.9, 1.8), { minLength: 7, maxLength: 7 }),
    swings: fc.array(fc.tuple(length(0, 0.25), fc.integer({ min: 1, max: 9 }), length(0, 6.3)), {
      minLength: 6,
      maxLength: 6,
    }),
  })
  .map(({ section, taper: t, outline: o, traits, rooms, swings, ...rest }) => {
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
    const design: ShapeDesign = {
      ...rest,
      widthMm,
      section: sectionDesign(gentle(section, 0.25), widthMm),
      seams,
      lanes: lanesWith(
        traits.map((each) => ({ ...each, recessMm: 0.3 * each.recessMm, softenMm: 0.4 * each.softenMm })),
      ),
      rows: [],
      chordToleranceMm: 0.05,
    };
    return {
      ...design,
      ...(t && { taper: taperDesign(t, design) }),
      ...(o && { outline: outlineDesign(o, design) }),
    };
  });
