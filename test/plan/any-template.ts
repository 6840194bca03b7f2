import fc from 'fast-check';
import { CUT_NAMES } from '../../pipeline/trade/cuts.ts';

const number = (min: number, max: number) => fc.double({ min, max, noNaN: true });
const mm = (min: number, max: number) => number(min, max).map((x) => `${x.toFixed(2)} mm`);
const degrees = fc.integer({ min: -180, max: 180 }).map((x) => `${x} deg`);
const sometimes = <T>(value: fc.Arbitrary<T>) => fc.option(value, { nil: undefined, freq: 3 });

const DOMED = ['d', 'court', 'concave'];
const LEVEL_BORE = ['flat', 'd'];

/** A section with the measures it has a use for; one in ten has all, as someone may write who hasn't read which. */
const section = fc
  .record({
    name: fc.constantFrom('flat', 'd', 'court', 'flat-court', 'concave', 'bevelled', 'knife-edge'),
    dome: sometimes(mm(0.05, 0.6)),
    comfort: sometimes(mm(0, 0.4)),
    edge: mm(0, 0.4),
    'bore-edge': mm(0, 0.4),
    careless: fc.integer({ min: 0, max: 9 }).map((n) => n === 0),
  })
  .map(({ careless, dome, comfort, ...rest }) => ({
    ...rest,
    dome: careless || DOMED.includes(rest.name) ? dome : undefined,
    comfort: careless || !LEVEL_BORE.includes(rest.name) ? comfort : undefined,
  }));

/** A seam near a share of the width. */
const seam = fc.oneof(
  fc.record({ kind: fc.constant('straight') }),
  fc.record({
    kind: fc.constant('wave'),
    amplitude: mm(0, 0.7),
    waves: fc.integer({ min: 1, max: 8 }),
    sharpness: fc.integer({ min: 0, max: 90 }).map((x) => `${x} %`),
    phase: degrees,
  }),
);

const clean = (value: object) =>
  Object.fromEntries(Object.entries(value).filter(([, content]) => content !== undefined));

/** How the edges run: along a curve or round a head, with a width of its own or none. */
const outline = fc
  .record({
    run: fc.oneof(
      fc.record({
        middle: fc.oneof(
          fc.record({
            kind: fc.constant('wave'),
            amplitude: mm(0, 1.2),
            waves: fc.integer({ min: 1, max: 7 }),
          }),
          fc.record({
            kind: fc.constant('peak'),
            height: mm(0, 2.5),
            towards: fc.constantFrom('first', 'second'),
            span: fc.integer({ min: 20, max: 340 }).map((x) => `${x} deg`),
            roundness: fc.integer({ min: 10, max: 100 }).map((x) => `${x} %`),
          }),
        ),
      }),
      fc.record({ around: fc.record({ head: mm(3, 9), gap: mm(0, 0.4) }) }),
    ),
    width: sometimes(
      fc.record({
        kind: fc.constant('points'),
        through: fc.array(
          fc.integer({ min: 50, max: 110 }).map((x) => `${x} %`),
          { minLength: 3, maxLength: 6 },
        ),
      }),
    ),
    measured: fc.constantFrom('square', 'finger'),
  })
  .map(({ run, ...rest }) => clean({ ...run, ...rest }));

const whole = (unit: string, min: number, max: number) => fc.integer({ min, max }).map((x) => `${x} ${unit}`);

/** Where the band is parted. */
const gap = fc.oneof(
  fc.record({
    kind: fc.constant('open'),
    at: degrees,
    width: mm(0.4, 12),
    round: mm(0.15, 2.5),
    soften: mm(0.05, 0.4),
  }),
  fc
    .record({
      kind: fc.constant('split'),
      at: degrees,
      span: whole('deg', 20, 180),
      width: mm(0.3, 2.5),
      across: whole('%', 30, 70),
      bridges: fc.option(fc.record({ count: fc.integer({ min: 1, max: 4 }), width: mm(0.5, 2) }), {
        nil: undefined,
      }),
    })
    .map(clean),
  fc.record({
    kind: fc.constant('bypass'),
    at: degrees,
    span: whole('deg', 20, 120),
    width: mm(0.3, 1.5),
    round: mm(0.3, 1.2),
    from: fc.constantFrom('first', 'second'),
  }),
);

const setting = fc.oneof(
  fc.constant('none' as const),
  fc.record({
    style: fc.constant('shared-claws'),
    'claw-diameter': mm(0.35, 0.7),
    'claw-height': mm(0.1, 0.4),
  }),
  fc.record({ style: fc.constant('channel') }),
  fc.record({ style: fc.constant('flush') }),
  fc.record({
    style: fc.constant('bezel'),
    wall: mm(0.25, 0.7),
    lip: mm(0.05, 0.25),
    taper: fc.integer({ min: 0, max: 40 }).map((x) => `${x} deg`),
    open: fc.constantFrom('none', 'along', 'across'),
  }),
  fc.record({
    style: fc.constant('head'),
    claws: fc.constantFrom(4, 6),
    'claw-diameter': mm(0.4, 0.9),
    'claw-height': mm(0.15, 0.5),
    taper: fc.integer({ min: 0, max: 40 }).map((x) => `${x} deg`),
  }),
);

const outsideRow = fc.record({
  cut: fc.oneof({ weight: 3, arbitrary: fc.constant('round-brilliant') }, fc.constantFrom(...CUT_NAMES)),
  diameter: mm(0.8, 2.2),
  coverage: fc.oneof(
    { weight: 4, arbitrary: fc.integer({ min: 10, max: 150 }).map((x) => `${x} deg`) },
    fc.constantFrom('full', 'half'),
  ),
  'least-gap': mm(0, 0.3),
  'set-depth': sometimes(mm(-1.5, 0.3)),
  hole: fc.integer({ min: 0, max: 80 }).map((x) => `${x} %`),
  offset: fc.option(mm(-0.6, 0.6), { nil: undefined, freq: 5 }),
  setting,
});

/** Stones that look at the finger. */
const boreRow = fc.record({
  side: fc.constant('bore'),
  diameter: mm(0.6, 1.6),
  coverage: fc.array(degrees, { minLength: 1, maxLength: 2 }),
  setting: fc.constant({ style: 'flush' }),
});

/** Stones that look along the finger. */
const faceRow = fc.record({
  side: fc.constantFrom('first-edge', 'second-edge', 'both-edges'),
  diameter: mm(0.9, 1.5),
  coverage: fc.oneof(fc.array(degrees, { minLength: 1, maxLength: 2 }), fc.constantFrom('full', 'half')),
  'least-gap': mm(0.2, 0.6),
  offset: fc.option(mm(-0.3, 0.3), { nil: undefined, freq: 5 }),
  setting: fc.constant({ style: 'flush', lip: '0.06 mm' }),
});

const row: fc.Arbitrary<object> = fc.oneof(
  { weight: 8, arbitrary: outsideRow },
  { weight: 1, arbitrary: boreRow },
  { weight: 1, arbitrary: faceRow },
);

/** What a lane is made of: mostly gold, else a body of colour, layers or wood in any of their settings. */
const matter: fc.Arbitrary<object> = fc.oneof(
  { weight: 3, arbitrary: fc.constant({ alloy: 'yellow-18' }) },
  { weight: 1, arbitrary: fc.constantFrom('ceramic-white', 'resin-coral').map((alloy) => ({ alloy })) },
  {
    weight: 1,
    arbitrary: fc.record({
      alloy: fc.constantFrom('mokume-rose-white', 'damask-steel'),
      layers: fc.record({ stack: mm(0.1, 1.5), turns: fc.nat({ max: 20 }), bar: mm(0, 3), bend: mm(0, 1) }),
    }),
  },
  {
    weight: 1,
    arbitrary: fc.record({
      alloy: fc.constantFrom('wood-oak', 'wood-ebony'),
      grain: fc.record({ fibre: fc.constantFrom('through', 'round'), ring: mm(0.3, 4), pith: mm(0, 60) }),
    }),
  },
);

/** Templates of lanes side by side that a shop could have written, some of which cannot be made. Coarse, to be quick. */
export const laneTemplate = fc
  .record({
    section,
    width: number(2, 7),
    thickness: mm(1.2, 2.6),
    taper: sometimes(fc.record({ width: fc.integer({ min: 50, max: 110 }).map((x) => `${x} %`) })),
    outline: fc.oneof({ weight: 2, arbitrary: fc.constant(undefined) }, { weight: 1, arbitrary: outline }),
    flat: fc.option(fc.record({ length: mm(3, 14), rise: mm(-0.8, 1.5), edge: mm(0.1, 1.2) }), {
      nil: undefined,
      freq: 3,
    }),
    gap: fc.option(gap, { nil: undefined, freq: 4 }),
    seams: fc.array(seam, { maxLength: 2 }),
    recesses: fc.array(mm(0, 0.4), { minLength: 3, maxLength: 3 }),
    softenings: fc.array(mm(0, 0.25), { minLength: 3, maxLength: 3 }),
    row: fc.option(row, { nil: undefined, freq: 4 }),
    rowLane: fc.nat({ max: 2 }),
    // last, so that what comes before is drawn as ever
    matters: fc.array(matter, { minLength: 3, maxLength: 3 }),
  })
  .map(({ gap, seams, recesses, softenings, row, rowLane, width, section, taper, matters, ...rest }) => {
    const names = recesses.slice(0, seams.length + 1).map((_, i) => `lane-${i}`);
    const shares = [[], [40], [25, 75]][seams.length];
    return clean({
      title: 'Trial',
      section: clean(section),
      ...clean(rest),
      ...(gap && { gaps: { gap } }),
      // the width changes by one of them
      taper: rest.outline && 'width' in rest.outline ? undefined : taper,
      width: `${width.toFixed(2)} mm`,
      lanes: Object.fromEntries(
        names.map((name, i) => [
          name,
          {
            ...matters[i],
            recess: recesses[i],
            ...(names.length > 1 && { soften: softenings[i] }),
          },
        ]),
      ),
      seams: Object.fromEntries(seams.map((each, i) => [`seam-${i}`, { ...each, at: `${shares[i]} %` }])),
      rows: row && { stones: { lane: names[rowLane % names.length], ...clean(row) } },
      'chord-tolerance': '0.05 mm',
    });
  });

const seldom = <T>(value: fc.Arbitrary<T>) =>
  fc.oneof({ weight: 4, arbitrary: fc.constant(undefined) }, { weight: 1, arbitrary: value });

const BACK = { kind: 'open', width: '5 mm', round: '1 mm' };

/** Wires over and under each other; one template in five has something that has no place on them. */
const wireTemplate = fc
  .record({
    width: mm(1.5, 8),
    thickness: mm(1.2, 4),
    kind: fc.constantFrom('twist', 'braid'),
    wires: fc.integer({ min: 2, max: 5 }),
    pitch: mm(3, 14),
    hand: fc.constantFrom('right', 'left'),
    wire: seldom(mm(0.4, 2)),
    joined: fc.record({
      overlap: mm(0.05, 0.3),
      liner: fc.option(fc.record({ thickness: mm(0.4, 1.5), margin: mm(0, 1.5), edge: mm(0, 0.3) }), {
        nil: undefined,
        freq: 2,
      }),
    }),
    clearance: seldom(mm(0.1, 0.5)),
    matters: fc.array(matter, { minLength: 6, maxLength: 6 }),
    misplaced: seldom(
      fc.constantFrom({ taper: { width: '80 %' } }, { flat: { length: '8 mm' } }, { gaps: { back: BACK } }),
    ),
  })
  .map(({ width, thickness, kind, wires, matters, misplaced, joined, clearance, ...rest }) => {
    const between = clearance ? { clearance } : clean(joined);
    const count = (kind === 'braid' ? (wires < 4 ? 3 : 5) : wires) + ('liner' in between ? 1 : 0);
    return {
      title: 'Trial',
      section: { name: 'flat' },
      width,
      thickness,
      strands: clean({ kind, ...rest, ...between }),
      lanes: Object.fromEntries(matters.slice(0, count).map((each, i) => [`wire-${i}`, each])),
      ...misplaced,
      'chord-tolerance': '0.05 mm',
    };
  });

/** Templates that a shop could have written, some of which cannot be made. */
export const anyTemplate: fc.Arbitrary<object> = fc.oneof(
  { weight: 8, arbitrary: laneTemplate },
  { weight: 1, arbitrary: wireTemplate },
);
