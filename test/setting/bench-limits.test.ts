import { describe, expect, it } from 'vitest';
import { lanesOf } from '../../pipeline/band/lane.ts';
import { thicknesses } from '../../pipeline/band/thickness.ts';
import type { ShapeDesign } from '../../pipeline/plan/design.ts';
import { isRefused, ProblemError } from '../../pipeline/problem.ts';
import type { BenchView } from '../../pipeline/setting/bench-rule.ts';
import { fitReport } from '../../pipeline/setting/row-fit.ts';
import { planRow } from '../../pipeline/setting/row-plan.ts';
import type { BenchRuleName, LimitSettings } from '../../pipeline/trade/bench-limits.ts';
import { tell } from '../../pipeline/trade/bench-words.ts';
import { GERMAN_PHRASES } from '../../pipeline/trade/bench-words-de.ts';
import { bandDesign } from '../band/designs.ts';
import { checksOf, hole, pin, place, rowWith, seat, section, viewOf } from './bench-views.ts';
import { type rowDesign, straightRowDesign } from './stone-designs.ts';

type Case = [
  rule: BenchRuleName,
  what: string,
  limit: number,
  better: 1 | -1,
  severity: string,
  view: (value: number) => BenchView,
];
const band = bandDesign(section());
const withRow = (...of: Parameters<typeof rowWith>) => viewOf(band, rowWith(...of));

/** Limits as their sources give them; the sources stand beside the rules and are named here again where they are read. */
const CASES: Case[] = [
  ['band-thickness', 'common practice', 1.2, 1, 'warning', (v) => viewOf(bandDesign({ thicknessMm: v }))],
  ['band-width', 'common practice; ritani.com', 1.5, 1, 'warning', (v) => viewOf(bandDesign({ widthMm: v }))],
  ...(['first', 'second'] as const).map((edge): Case => {
    const what = `common practice: 0.1 mm, lest they rub, at the ${edge} edge`;
    return ['head-clearance', what, 0.1, 1, 'warning', (v) => viewOf(roundHead(v, edge))];
  }),
  [
    'gap-width',
    'common practice: a polishing thread',
    0.5,
    1,
    'warning',
    (v) => viewOf(withEye({ widthMm: v })),
  ],
  // an eye in the middle of a band 4 mm wide
  ['gap-strand', 'common practice', 1, 1, 'warning', (v) => viewOf(withEye({ widthMm: 4 - 2 * v }))],
  ['gap-bridge', 'common practice', 0.8, 1, 'warning', (v) => viewOf(withBridge(v))],
  // morrisandwatson.com: edge radii from 0.125 mm
  ['edge-softening', 'bore', 0.125, 1, 'warning', (v) => viewOf(bandDesign(section({ boreEdgeMm: v })))],
  ['overall-thickness', 'common practice', 3.5, -1, 'info', (v) => viewOf(bandDesign({ thicknessMm: v }))],
  ['emergency-size', 'thickness', 2.5, -1, 'info', (v) => viewOf(bandDesign({ thicknessMm: v }))],
  ['emergency-size', 'width', 8, -1, 'info', (v) => viewOf(bandDesign({ widthMm: v }))],
  [
    'wide-band-size',
    'common practice; careypearson.com, from 5 mm',
    5,
    -1,
    'info',
    (v) => viewOf(bandDesign({ widthMm: v })),
  ],
  ['comfort-dome', 'least', 0.1, 1, 'info', (v) => viewOf(bandDesign(section({ comfortMm: v })))],
  ['comfort-dome', 'most', 0.3, -1, 'info', (v) => viewOf(bandDesign(section({ comfortMm: v })))],
  // orchid 45641: 0.35 mm beside stones of 0.8 mm; morrisandwatson.com 0.4 and 0.5 mm; gemwares.com 0.8 mm
  [
    'wall-beside-seat',
    '0.8 mm',
    0.35,
    1,
    'warning',
    (v) => withRow(place({ wall: v }), {}, { diameterMm: 0.8 }),
  ],
  [
    'wall-beside-seat',
    '1.5 mm',
    0.4,
    1,
    'warning',
    (v) => withRow(place({ wall: v }), {}, { diameterMm: 1.5 }),
  ],
  [
    'wall-beside-seat',
    '2.0 mm',
    0.45,
    1,
    'warning',
    (v) => withRow(place({ wall: v }), {}, { diameterMm: 2 }),
  ],
  [
    'wall-beside-seat',
    '2.5 mm',
    0.5,
    1,
    'warning',
    (v) => withRow(place({ wall: v }), {}, { diameterMm: 2.5 }),
  ],
  ['wall-beside-seat', '6 mm', 0.8, 1, 'warning', (v) => withRow(place({ wall: v }), {}, { diameterMm: 6 })],
  ['wall-beside-seat', 'rim', 0.4, 1, 'warning', (v) => withRow(place({ rim: v }), {}, { diameterMm: 1.5 })],
  // orchid 34008: stones with 0.2 mm over, never through the bore
  ['floor-under-culet', 'closed', 0.2, 1, 'error', (v) => withRow(place({ culetAbove: v }))],
  [
    'floor-under-culet',
    'open',
    0.2,
    1,
    'warning',
    (v) => withRow({ ...place({ culetAbove: v }), ...seat({ hole: hole(0.8) }) }),
  ],
  ['hole-width', 'morrisandwatson.com', 0.2, 1, 'warning', (v) => withRow(seat({ hole: hole(v) }))],
  // the hole reaches from the bearing's foot at −0.4 to the bore at −1: 0.6 mm deep
  ['hole-depth', 'no deeper than wide', 0.6, 1, 'info', (v) => withRow(seat({ hole: hole(v) }))],
  ['metal-under-seat', 'closed', 0.4, 1, 'warning', (v) => withRow(seat({ bearingFoot: v - 1 }))],
  // common practice: 0.35 mm at 1.0 mm stones, 0.5 at 1.5, 0.7 at 2.5, 0.9 at 4.0, 1.0 at 6.5
  ...(
    [
      [0.8, 0.35],
      [1, 0.35],
      [1.25, 0.425],
      [1.5, 0.5],
      [2.5, 0.7],
      [4, 0.9],
      [6.5, 1],
      [8, 1],
    ] as const
  ).map(
    ([diameterMm, claw]): Case => [
      'claw-diameter',
      `${diameterMm} mm stone`,
      claw,
      1,
      'warning',
      (v) => withRow({}, { claws: [pin(0, v / 2)] }, { diameterMm }),
    ],
  ),
  // gia.edu, professionaljeweler.com: 60 to 80 % of girdle to table, here 0.25 mm
  ['claw-height', 'least', 0.6, 1, 'info', (v) => withRow({}, { claws: [pin(0, 0.25, v * 0.25)] })],
  ['claw-height', 'most', 0.8, -1, 'info', (v) => withRow({}, { claws: [pin(0, 0.25, v * 0.25)] })],
  // morrisandwatson.com: gaps from 0.2 mm
  [
    'claw-gap',
    'gap',
    0.2,
    1,
    'info',
    (v) => withRow({}, { claws: [pin(0, 0.25), pin(0.5 + v, 0.25), pin(4, 0.25)] }),
  ],
  // morrisandwatson.com, broad areas 0.5 mm; gemwares.com 0.8 mm
  ['engraving-wall', 'letters', 0.8, 1, 'warning', (v) => viewOf(band, engraved(v))],
];

/** A band that runs round a head of 6.5 mm at a distance. */
function roundHead(gapMm: number, edge: 'first' | 'second'): ShapeDesign {
  const around = { headMm: 6.5, shankMm: 2, gapMm, edge, roundness: 1 } as const;
  const straight = bandDesign({ widthMm: 2 });
  return { ...straight, outline: { measured: 'finger', other: { widthMm: 4, seams: [] }, around } };
}

/** Two eyes of one gap with a bar of that width between them. */
function withBridge(barMm: number): ShapeDesign {
  const design = bandDesign();
  const radius = design.circumferenceMm / (2 * Math.PI) + design.thicknessMm;
  const [eye] = withEye({ widthMm: 1 }).gaps!;
  return bandDesign({ gaps: [eye, { ...eye, atRad: 1.2 + barMm / radius }] });
}

function withEye(change: { widthMm: number }): ShapeDesign {
  const across = { share: 0.5, mm: 0 };
  const eye = {
    name: 'eye',
    kind: 'split',
    atRad: 0,
    spanRad: 1.2,
    across,
    softenMm: 0.2,
    ...change,
  } as const;
  return bandDesign({ gaps: [eye] });
}

function engraved(mm: number): Partial<BenchView> {
  const engravings = [{ side: 'inside', wall: { mm, theta: 0 }, reached: {}, stroke: {} }];
  return { marks: { engravings, milgrains: [], grooves: [] } as unknown as BenchView['marks'] };
}

const STEP = 1e-4;

describe('rules of the bench just below and just above their limits', () => {
  it.each(CASES)('%s, %s: %d', (rule, _, limit, better, severity, view) => {
    const failed = (value: number) => checksOf(rule, view(value)).filter(({ passed }) => !passed);
    expect(failed(limit + better * STEP)).toEqual([]);
    const [first, ...others] = failed(limit - better * STEP);
    // the width from which bands sit tighter is itself told
    expect(first).toMatchObject({ severity });
    expect(others).toEqual([]);
  });

  it('tell the stricter of two sources as a warning and the laxer as an error', () => {
    const wall = (mm: number) => checksOf('engraving-wall', viewOf(band, engraved(mm)))[0];
    expect(wall(0.5)).toMatchObject({ passed: false, severity: 'warning' });
    expect(wall(0.5 - STEP)).toMatchObject({ passed: false, severity: 'error' });
    expect(wall(0.6).limit).toBe('at least 0.80 mm, an error below 0.50 mm');
    expect(wall(0.6).source).toContain('morrisandwatson.com');
    expect(wall(0.6).source).toContain('gemwares.com');
  });

  it('let no culet through the bore', () => {
    const open = (culetAbove: number) =>
      checksOf('floor-under-culet', withRow({ ...place({ culetAbove }), ...seat({ hole: hole(0.8) }) }))[0];
    expect(open(0)).toMatchObject({ passed: false, severity: 'warning' });
    expect(open(-STEP)).toMatchObject({ passed: false, severity: 'error' });
  });

  it('print the usual limit beside the workshop’s own, in both languages', () => {
    const own = (limits: LimitSettings, value: number) =>
      checksOf('engraving-wall', viewOf(band, { ...engraved(value), limits }))[0];
    expect(own({ 'engraving-wall': 0.4 }, 0.45)).toMatchObject({
      passed: true,
      limit: 'at least 0.40 mm (usual: at least 0.80 mm, an error below 0.50 mm)',
    });
    expect(own({ 'engraving-wall': 0.4 }, 0.4 - STEP)).toMatchObject({ passed: false, severity: 'error' });
    const { told } = own({ 'engraving-wall': 0.4 }, 0.45);
    expect(tell(told.limit, GERMAN_PHRASES, 'de-DE')).toBe(
      'mindestens 0,40 mm (üblich: mind. 0,80 mm, Fehler unter 0,50 mm)',
    );
  });
});

describe('girdle gaps', () => {
  // a-set.be: from 0.15 mm under a microscope; common practice 0.10 mm for claws, 0.05 mm in channels
  const gapOf = (gap: number, change: Parameters<typeof rowDesign>[0] = {}) => {
    const design = straightRowDesign({
      count: 2,
      coverage: { kind: 'angles', anglesRad: [0, 2 * Math.asin((1.5 + gap) / 2 / radius)] },
      leastGapMm: 0.05,
      setting: { style: 'none' },
      ...change,
    });
    const lanes = lanesOf(design);
    const row = planRow(design.rows[0], 0, lanes);
    if (isRefused(row)) throw new ProblemError(row.problems);
    return checksOf('girdle-gap', viewOf(design, { rows: [row] }))[0];
  };
  // girdles 0.05 mm below a flat outside
  const radius = 54 / (2 * Math.PI) + 1.9 - 0.05;

  it('below 0.15 mm are warned of and below 0.10 mm an error', () => {
    expect(gapOf(0.1505).passed).toBe(true);
    expect(gapOf(0.1495)).toMatchObject({ passed: false, severity: 'warning' });
    expect(gapOf(0.1005)).toMatchObject({ passed: false, severity: 'warning' });
    expect(gapOf(0.0995)).toMatchObject({ passed: false, severity: 'error' });
  });
});

describe('what holds and carries stones', () => {
  const planned = (change: Parameters<typeof rowDesign>[0] = {}, design: Partial<ShapeDesign> = {}) => {
    const whole = straightRowDesign(change, design);
    const lanes = lanesOf(whole);
    const row = planRow(whole.rows[0], 0, lanes);
    return isRefused(row) ? row : { row, view: viewOf(whole, { lanes, rows: [row] }) };
  };
  const sound = (...of: Parameters<typeof planned>) => {
    const found = planned(...of);
    if (isRefused(found)) throw new ProblemError(found.problems);
    return found;
  };

  it('leaves at least 0.02 mm of air round a seat, a close fit of 0.02 to 0.05 mm (jewellersreviews.com, weak)', () => {
    const { row } = sound({ diameterMm: 1 });
    const [{ seat: cut }] = row.sets;
    expect(cut.air).toBeGreaterThanOrEqual(0.02 - 1e-12);
    expect(cut.air).toBeLessThanOrEqual(0.05);
    expect(cut.opening).toEqual({ kind: 'round', radius: expect.closeTo(0.5 + cut.air, 12) });
  });

  it('claws bite a fifth of their diameter less what the crown takes, within 0.03 mm and 25 % (professionaljeweler.com 2002)', () => {
    const { view } = sound();
    const [least, most] = checksOf('claw-bite', view);
    expect(least).toMatchObject({ passed: true, severity: 'error', limit: 'at least 0.03 mm' });
    // half a claw's radius is 25 % of its diameter of 0.52 mm
    expect(most).toMatchObject({ passed: true, severity: 'error', limit: 'at most 0.13 mm' });
    const bite = Number.parseFloat(least.measured);
    expect(bite).toBeLessThanOrEqual(0.2 * 0.52 + 1e-9);
    const own = (limit: number) => checksOf('claw-bite', { ...view, limits: { 'claw-bite': limit } })[0];
    expect(own(bite - 1e-3).passed).toBe(true);
    expect(own(bite + 1e-3).passed).toBe(false);
  });

  it('claws too low to reach over the crown do not bite', () => {
    const { view } = sound({ setting: { style: 'shared-claws', clawDiameterMm: 0.5, clawHeightMm: 0.06 } });
    expect(checksOf('claw-bite', view)[0]).toMatchObject({ passed: false, severity: 'error' });
  });

  it('culets of closed seats keep 0.1 mm of floor and of open ones do not come through the bore', () => {
    // the same row over ever thinner bands: the first that is refused tells the floor
    const thinnest = (holeShare: number) => {
      const least = (thicknessMm: number) => {
        const found = planned({ holeShare, setting: { style: 'none' } }, { thicknessMm });
        return isRefused(found) ? undefined : Math.min(...found.row.sets[0].places.map((p) => p.culetAbove));
      };
      let [low, high] = [0.5, 2];
      for (let i = 0; i < 20; i++) {
        const middle = (low + high) / 2;
        if (least(middle) === undefined) low = middle;
        else high = middle;
      }
      return least(high)!;
    };
    expect(thinnest(0)).toBeCloseTo(0.1, 4);
    expect(thinnest(0.5)).toBeCloseTo(0, 4);
  });

  it('ends beside a seat where the lane’s edge is softened, not at the seam', () => {
    // a flat band of 3 mm, stones of 1.5 mm with 0.02 mm of air: 1.5 − 0.77 less 0.2 mm of softening, some less as
    // the seat is cut square to a curved outside
    const { row } = sound({ diameterMm: 1 });
    const [{ places, seat: cut }] = row.sets;
    const { radius } = cut.opening as { radius: number };
    expect(places[0].wall - places[0].rim).toBeCloseTo(0.2, 6);
    expect(places[0].rim).toBeCloseTo(1.5 - radius - 0.2, 6);
    expect(fitReport(row).wallMm).toBeCloseTo(places[0].rim, 6);
  });

  it('stones all round cannot be resized, half a row can', () => {
    const full = checksOf('full-circle', sound().view);
    expect(full).toHaveLength(1);
    expect(full[0]).toMatchObject({ passed: false, severity: 'info' });
    expect(full[0].measured).toMatch(/^\d+ stones all round/);
    expect(checksOf('full-circle', sound({ coverage: { kind: 'arc', angleRad: Math.PI } }).view)).toEqual([]);
  });
});

describe('edges softened too little', () => {
  // a knife edge of 0.01 mm cuts, however soft the other edges are
  it.each([
    ['ridge', { name: 'knife-edge' as const, ridge: { lowRad: 0.3, highRad: 0.3, roundMm: 0.01 } }],
    [
      'bevels',
      {
        name: 'bevelled' as const,
        bevel: { lowMm: 0.8, highMm: 0.8, lowRad: 0.5, highRad: 0.5, roundMm: 0.01 },
      },
    ],
    ['step', { step: { sides: 'low' as const, widthMm: 0.8, depthMm: 0.4, softenMm: 0.01, footMm: 0.1 } }],
  ])('are found at %s', (where, change) => {
    const failed = checksOf('edge-softening', viewOf(bandDesign(section(change)))).filter((c) => !c.passed);
    expect(failed).toHaveLength(1);
    expect(failed[0]).toMatchObject({ measured: '0.01 mm', severity: 'warning' });
    expect(failed[0].place).toContain(where.slice(0, 4));
  });
});

describe('thickness', () => {
  // circle through the edges: r(z) of a concave outside is R − √(R² − z²) above its lowest place, R = (h² + s²)/(2 s)
  it('of a concave band is its least wall in the middle, and its highest point at the edges', () => {
    const design = bandDesign({
      widthMm: 6,
      thicknessMm: 1.5,
      ...section({ name: 'concave', domeMm: 0.5, edgeMm: 0 }),
    });
    const [{ least, highest, most }] = thicknesses(design);
    expect(least).toBeCloseTo(1.5, 9);
    expect(highest).toBeCloseTo(2, 9);
    expect(most).toBeCloseTo(2, 9);
    const [check] = checksOf('overall-thickness', viewOf(design));
    expect(check.measured).toBe('2.00 mm');
    expect(checksOf('band-thickness', viewOf(design))[0]).toMatchObject({
      measured: '1.50 mm',
      place: 'where the band is thinnest',
    });
  });

  it('of a concave band with softened edges ends at the top of the softening', () => {
    const design = bandDesign({
      widthMm: 6,
      thicknessMm: 1.5,
      ...section({ name: 'concave', domeMm: 0.5, edgeMm: 0.3 }),
    });
    // a circle of 0.3 mm inside the wall at z = 3 touches the outside's arc from within: its centre lies R + 0.3 from the
    // arc's, which lies R above the lowest place
    const r = (3 ** 2 + 0.5 ** 2) / (2 * 0.5);
    const top = 1.5 + r - Math.sqrt((r + 0.3) ** 2 - 2.7 ** 2) + 0.3;
    expect(thicknesses(design)[0].highest).toBeCloseTo(top, 6);
  });

  it('of a concave band whose lowest place lies aside takes the comfort bore into account', () => {
    const design = bandDesign({
      widthMm: 6,
      thicknessMm: 1.5,
      ...section({ name: 'concave', domeMm: 0.4, crestMm: 1.5, comfortMm: 0.3, edgeMm: 0, boreEdgeMm: 0 }),
    });
    const arc = (sagitta: number, half: number, z: number) => {
      const r = (half ** 2 + sagitta ** 2) / (2 * sagitta);
      return r - Math.sqrt(r * r - z * z);
    };
    // metal at z: outside less bore, searched on a fine grid
    const walls = Array.from({ length: 6001 }, (_, i) => {
      const z = -3 + i / 1000;
      const over = z < 1.5 ? arc(0.4, 4.5, z - 1.5) : arc(0.4, 1.5, z - 1.5);
      return 1.5 + over - arc(0.3, 3, z);
    });
    expect(thicknesses(design)[0].least).toBeCloseTo(Math.min(...walls), 5);
  });

  it('of a band with a recessed crest is that of what stands highest', () => {
    const design = bandDesign({
      seams: [
        { kind: 'straight', atMm: -1 },
        { kind: 'straight', atMm: 1 },
      ],
      lanes: [0, 0.4, 0].map((recessMm, i) => ({ name: `lane ${i}`, recessMm, softenMm: 0 })),
    });
    expect(thicknesses(design)[0]).toMatchObject({
      highest: expect.closeTo(1.6, 9),
      least: expect.closeTo(1.2, 9),
    });
  });
});
