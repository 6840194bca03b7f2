import { describe, expect, it } from 'vitest';
import type { ShapeDesign } from '../../pipeline/plan/design.ts';
import { atLeast, type BenchView } from '../../pipeline/setting/bench-rule.ts';
import { benchChecks } from '../../pipeline/setting/bench-rules.ts';
import { between } from '../../pipeline/setting/between.ts';
import { widestOpening } from '../../pipeline/setting/channel-rules.ts';
import { pinsAt } from '../../pipeline/setting/claw-rules.ts';
import type { RowPlan, WholeRow } from '../../pipeline/setting/row-plan.ts';
import type { BenchRuleName } from '../../pipeline/trade/bench-limits.ts';
import { phrase } from '../../pipeline/trade/bench-words.ts';
import { bandDesign } from '../band/designs.ts';
import { checksOf, hole, pin, place, planned, rowWith, seat, section, viewOf } from './bench-views.ts';
import { PLAIN_GRAIN, type rowDesign } from './stone-designs.ts';

const band = bandDesign(section());
const withRow = (...of: Parameters<typeof rowWith>) => viewOf(band, rowWith(...of));
const STEP = 1e-4;

type Row = [
  rule: BenchRuleName,
  what: string,
  limit: number,
  better: 1 | -1,
  view: (value: number) => BenchView,
];

const lane = { name: 'near' };
const channel = (change: Record<string, number>, diameterMm = 2) =>
  withRow(
    {},
    { channel: { half: 0.88 * (diameterMm / 2), lip: 9, underFloor: 9, ...change } },
    { diameterMm },
  );
const flush = (set: Record<string, unknown>, diameterMm = 1.5) =>
  withRow({ lane, flush: { radius: 0.5, wall: 9 }, ...set }, {}, { diameterMm });
const collar = (change: Record<string, unknown>, diameterMm = 1.5) =>
  withRow({ collar: { radius: 9, wall: 9, ...change }, stone: round(diameterMm) }, {}, { diameterMm });
const round = (diameterMm: number) => ({
  tableHeight: 0.2,
  planes: [],
  girdle: { kind: 'round', radius: diameterMm / 2 },
});
const grain = (field: Record<string, unknown>, diameterMm = 1.5, set: Record<string, unknown> = {}) =>
  withRow(
    set,
    { lane, grain: { grains: [pin(0, 0.15)], floor: -0.1, rail: 9, under: 9, ...field } },
    { diameterMm, setting: PLAIN_GRAIN },
  );
const girdles = (surfaces: number[], diameterMm = 1.5, tableHeight = 0.25) => {
  const places = surfaces.map((surface) => ({ ...place({}).places[0], surface }));
  const stone = { tableHeight, planes: [], girdle: { kind: 'round', radius: diameterMm / 2 } };
  return grain({}, diameterMm, { places, stone });
};
const marks = (of: Record<string, unknown>) =>
  viewOf(band, {
    marks: { engravings: [], milgrains: [], grooves: [], ...of } as unknown as BenchView['marks'],
  });
const letters = (change: Record<string, unknown>) =>
  marks({
    engravings: [
      {
        side: 'inside',
        wall: { mm: 9, theta: 0 },
        reached: { leastMm: 9, mostMm: 9 },
        stroke: { letter: 'a', widthMm: 9 },
        ...change,
      },
    ],
  });

const ROWS: Row[] = [
  // ganoksin.com, professionaljeweler.com 2001: 90–95 % of the stone, 90 % below 3 mm; orchid 45641: down to 80 %
  ['channel-opening', 'most below 3 mm', 0.9, -1, (v) => channel({ half: v })],
  ['channel-opening', 'most from 3 mm', 0.95 * 1.5, -1, (v) => channel({ half: v }, 3)],
  ['channel-opening', 'least', 0.8, 1, (v) => channel({ half: v })],
  ['channel-overlap', 'common practice', 0.05, 1, (v) => channel({ half: 1 - v })],
  ['channel-lip', 'common practice', 0.15, 1, (v) => channel({ lip: v })],
  ['channel-floor', 'morrisandwatson.com', 0.4, 1, (v) => channel({ underFloor: v })],
  ['channel-stone', 'orchid 45641', 1.3, 1, (v) => channel({ half: 0.88 * (v / 2) }, v)],
  // orchid 34008: the whole stone and 0.2 mm; ganoksin.com: holes of 85 %
  [
    'flush-metal',
    'stone of 0.9 mm and 0.2 mm',
    1.1,
    1,
    (v) =>
      flush({
        stone: { tableHeight: 0.2, planes: [], solid: { depthMm: 0.9 } },
        ...place({ surface: v - 0.6, bore: -0.6 }),
      }),
  ],
  ['flush-hole', '85 % of 1.5 mm', 0.85 * 1.5, -1, (v) => flush(seat({ hole: hole(v) }))],
  ['flush-lip', 'common practice', 0.05, 1, (v) => flush({ flush: { radius: 0.75 - v, wall: 9 } })],
  ['flush-wall', 'morrisandwatson.com', 0.4, 1, (v) => flush({ flush: { radius: 0.5, wall: v } })],
  // walls of 0.3 mm at 1.5 mm to 0.6 mm from 6 mm; lips of 0.08 mm and 2.5 %; half bezels hold 40 %: common practice
  ['collar-wall', 'stone of 1.5 mm', 0.3, 1, (v) => collar({ wall: v })],
  ['collar-wall', 'stone of 2.25 mm', 0.35, 1, (v) => collar({ wall: v }, 2.25)],
  ['collar-wall', 'stone of 3 mm', 0.4, 1, (v) => collar({ wall: v }, 3)],
  ['collar-wall', 'stone of 7 mm', 0.6, 1, (v) => collar({ wall: v }, 7)],
  ['bezel-lip', 'least', 0.08, 1, (v) => collar({ lip: { radius: 0.75 - v } })],
  ['bezel-lip', '2.5 % of 4 mm', 0.1, 1, (v) => collar({ lip: { radius: 2 - v } }, 4)],
  [
    'bezel-hold',
    'two walls',
    0.4,
    1,
    (v) => collar({ open: { half: 0.75 * Math.sin(((1 - v) * Math.PI) / 2), way: 'along' } }),
  ],
  // jewellersreviews.com (weak): 0.2–0.4 mm on a 1 mm stone; at most 0.4 of larger stones: common practice
  ['grain-diameter', 'least', 0.2, 1, (v) => grain({ grains: [pin(0, v / 2)] })],
  ['grain-diameter', 'most at 1 mm', 0.4, -1, (v) => grain({ grains: [pin(0, v / 2)] }, 1)],
  ['grain-diameter', 'most below 1 mm', 0.4, -1, (v) => grain({ grains: [pin(0, v / 2)] }, 0.8)],
  ['grain-diameter', 'most at 2 mm', 0.8, -1, (v) => grain({ grains: [pin(0, v / 2)] }, 2)],
  // a grain is half its diameter deep: common practice; the floor lies at −0.1 mm
  [
    'grain-sink',
    'half of 0.3 mm',
    0.15,
    1,
    (v) => grain({ grains: [pin(0, 0.15, 0.1, -0.1 - v), pin(1, 0.15, 0.1, -5)] }),
  ],
  ['grain-rail', 'common practice', 0.3, 1, (v) => grain({ rail: v })],
  ['grain-floor', 'morrisandwatson.com', 0.4, 1, (v) => grain({ under: v })],
  // common practice: girdles 0.05–0.15 mm below the surface up to stones of 1.5 mm, deeper above up to the table
  ['girdle-depth', 'least', 0.05, 1, (v) => girdles([0.1, v])],
  ['girdle-depth', 'most up to 1.5 mm', 0.15, -1, (v) => girdles([v, 0.1])],
  ['girdle-depth', 'most above 1.5 mm: the table', 0.25, -1, (v) => girdles([0.1, v], 1.6)],
  ['girdle-depth', 'most where the table is lower', 0.12, -1, (v) => girdles([0.1, v], 1.5, 0.12)],
  // a claw stands 0.7 of its diameter deep: common practice; surface at 0.1 mm
  [
    'claw-sink',
    '0.7 of 0.5 mm',
    0.35,
    1,
    (v) =>
      withRow(
        {},
        {
          claws: [pin(0, 0.25, 0.19, 0.1 - v), pin(4, 0.25, 0.19, -5)],
          members: [{ place: { surface: 0.1 } }, { place: { surface: 0.6 } }],
        },
      ),
  ],
  // thekaratstore.us: cut by laser 0.05–0.2 mm deep; 0.1 mm inside, 0.2 mm outside, strokes of 0.09 mm: common practice
  ['engraving-depth', 'inside', 0.1, 1, (v) => letters({ reached: { leastMm: v, mostMm: v } })],
  [
    'engraving-depth',
    'outside',
    0.2,
    1,
    (v) => letters({ side: 'outside', lane, reached: { leastMm: v, mostMm: v } }),
  ],
  ['engraving-stroke', 'common practice', 0.09, 1, (v) => letters({ stroke: { letter: 'a', widthMm: v } })],
  // morrisandwatson.com: walls from 0.4 mm; beads from 0.25 mm: common practice; the worst of several is told
  [
    'groove-wall',
    'least of two',
    0.4,
    1,
    (v) =>
      marks({
        grooves: [
          { seam: 'a', wall: { mm: 2, theta: 0 } },
          { seam: 'b', wall: { mm: v, theta: 0 } },
        ],
      }),
  ],
  [
    'milgrain-bead',
    'least of two',
    0.25,
    1,
    (v) =>
      marks({
        milgrains: [0.9, v].map((beadMm) => ({ design: { beadMm }, along: 'edge', lane, frames: [] })),
      }),
  ],
];

describe('rules of settings and marks just below and just above their limits', () => {
  it.each(ROWS)('%s, %s: %d', (rule, _, limit, better, view) => {
    const failed = (value: number) => checksOf(rule, view(value)).filter(({ passed }) => !passed);
    expect(failed(limit + better * STEP)).toEqual([]);
    expect(failed(limit - better * STEP)).toHaveLength(1);
    // arithmetic may miss a limit that a design stands on
    expect(failed(limit + 1e-11)).toEqual([]);
    expect(failed(limit - 1e-11)).toEqual([]);
  });

  it('say nothing of settings and marks that a band has not', () => {
    const plain = benchChecks(viewOf(band));
    expect(
      plain.filter(({ rule }) => /channel|flush|grain|claw|engrav|groove|girdle|seat|hole/.test(rule)),
    ).toEqual([]);
    const bare = benchChecks(
      withRow(
        {
          stone: { tableHeight: 0.25, planes: [], girdle: hole(1.5) },
          places: [{ ...place({}).places[0], frame: pin(0, 0).frame }],
        },
        {},
        { setting: { style: 'none' } },
      ),
    );
    expect(bare.filter(({ rule }) => /channel|flush|grain|claw|girdle-depth|guarded/.test(rule))).toEqual([]);
    expect(bare.filter(({ rule }) => rule.startsWith('hole'))).toEqual([]);
  });
});

describe('channels', () => {
  it('of stones of 3 mm and more may stand open wider', () => {
    expect(widestOpening(2.999)).toBe(0.9);
    expect(widestOpening(3)).toBe(0.95);
  });

  it('tell their opening as a share of the stones’ width', () => {
    const [check] = checksOf('channel-opening', channel({ half: 0.85 }));
    expect(check).toMatchObject({ measured: '85 %', limit: '80 % to 90 % of the stones’ width' });
    expect(checksOf('channel-floor', channel({}))[0].place).toMatch(/\d+(\.\d)? % of the stones deep$/);
  });

  // orchid 45641: smallest reported 0.35 mm; 0.5 mm from 1.5 mm stones: common practice
  it.each([
    [1.46, 0.35],
    [1.5, 0.5],
    [1.8, 0.5],
  ])('of stones of %f mm want walls of %f mm up to where the edges are softened', (diameterMm, least) => {
    const setting = { style: 'channel', openingShare: 0.88 } as const;
    const walls = (wall: number) => {
      // a flat band whose edges are softened by 0.2 mm: half of it less the softening and half the opening
      const widthMm = 2 * (wall + 0.2) + 0.88 * diameterMm;
      const { view } = planned({ diameterMm, setDepthMm: 0.22, setting }, { widthMm, thicknessMm: 2.4 });
      return checksOf('channel-wall', view)[0];
    };
    expect(walls(least + 0.002)).toMatchObject({ passed: true, severity: 'error' });
    expect(walls(least - 0.002)).toMatchObject({ passed: false });
    expect(Number.parseFloat(walls(0.6).measured)).toBeCloseTo(0.6, 2);
  });

  it('keep girdles 0.05 mm apart (common practice) where all rows lie in channels', () => {
    const at = (gap: number, style: 'channel' | 'none') => {
      const stone = {
        girdle: hole(1.5),
        solid: { diameterMm: 1.5 },
        planes: [],
        tableHeight: 0.2,
        halfGirdle: 0.02,
      };
      const member = (x: number) => ({ set: { stone }, place: { theta: 0, frame: pin(x, 0).frame } });
      const rows = (['channel', style] as const).map((of, i) => ({
        index: i,
        design: { setting: { style: of } },
        members: i === 0 ? [member(0), member(1.5 + gap)] : [],
        sets: [],
        claws: [],
        places: {},
      }));
      return checksOf('girdle-gap', viewOf(band, { rows: rows as unknown as WholeRow[] }))[0];
    };
    const failing = (gap: number, style: 'channel' | 'none') => {
      const { passed, severity } = at(gap, style);
      return passed ? '' : severity;
    };
    const [a] = [at(0.1, 'channel')];
    expect(a.measured, 'two round girdles').toBe('0.10 mm');
    expect([failing(0.05 + STEP, 'channel'), failing(0.05 - STEP, 'channel')]).toEqual(['', 'error']);
    // a-set.be: from 0.15 mm under a microscope; 0.10 mm: common practice
    expect([0.15 + STEP, 0.15 - STEP, 0.1 + STEP, 0.1 - STEP].map((gap) => failing(gap, 'none'))).toEqual([
      '',
      'warning',
      'warning',
      'error',
    ]);
  });
});

describe('pins at a stone', () => {
  const set = { stone: { girdle: hole(1.5) } } as unknown as RowPlan;
  const at = { frame: pin(0, 0).frame } as unknown as RowPlan['places'][number];
  const moved = (x: number, y: number) => ({
    ...pin(x, 0.25),
    frame: { ...pin(0, 0).frame, origin: [x, 9 + y, 0] },
  });
  const found = (x: number, y = 0) =>
    pinsAt(set, at, [moved(x, y)] as unknown as Parameters<typeof pinsAt>[2]).length;

  it('are those whose circle reaches the girdle, in the girdle’s plane', () => {
    expect([found(0.999), found(1.001), found(-0.999)]).toEqual([1, 0, 1]);
    expect([found(0.9, 0.249), found(0.9, 0.251), found(0.9, -0.251)]).toEqual([1, 0, 0]);
  });
});

describe('claws', () => {
  it('that stand closest are told, at their feet or where they lean together at the top', () => {
    const lean = (x: number, towards: number) => {
      const p = pin(x, 0.25, 1.25);
      return { ...p, frame: { ...p.frame, axis: [towards, Math.sqrt(1 - towards ** 2), 0] } };
    };
    const gap = (...claws: unknown[]) => checksOf('claw-gap', withRow({}, { claws }))[0].measured;
    expect(gap(pin(0, 0.25), pin(1, 0.3), pin(3, 0.25))).toBe('0.45 mm');
    expect(gap(pin(0, 0.25), pin(5, 0.25), pin(9, 0.25), pin(9.8, 0.25))).toBe('0.30 mm');
    // 1 − 0.2 h less both widths at h is least at about 1 mm, where either has tapered to some 0.225 mm
    const leant = Number.parseFloat(String(gap(lean(0, 0.1), lean(1, -0.1))));
    expect(Math.abs(leant - (1 - 0.2 - 2 * 0.225))).toBeLessThan(0.02);
    expect(gap(lean(0, -0.1), lean(1, 0.1))).toBe('0.50 mm');
    // feet further apart than another pair's are no reason to leave two out that lean together
    const near = [pin(0, 0.25), pin(1, 0.25)];
    expect(Number.parseFloat(String(gap(...near, lean(20, 0.5), lean(21.6, -0.5))))).toBeLessThan(0.45);
    expect(checksOf('claw-gap', withRow({}, { claws: [pin(0, 0.25)] }))).toEqual([]);
  });

  // gia.edu, professionaljeweler.com: notched at most 25 % a side; overhang from 0.03 mm: common practice
  it('bite between 0.03 mm and a quarter of their diameter', () => {
    const { row, view } = planned();
    const bite = Number.parseFloat(checksOf('claw-bite', view)[0].measured);
    expect(bite).toBeGreaterThan(0.03);
    // the fourth claw at a stone counts: three that hold well do not make up for it
    const three = { ...row, claws: row.claws.slice(0, 3) };
    const lost = {
      ...view,
      rows: [{ ...three, sets: row.sets.map((s) => ({ ...s, whole: three })) }],
    } as BenchView;
    expect(checksOf('claw-bite', lost)[0]).toMatchObject({ passed: false, measured: '0.00 mm' });
    // the other limit goes with the radius of the claw
    const [, most] = checksOf('claw-bite', view);
    expect(most.limit).toBe(`at most ${(0.5 * row.claws[0].radius).toFixed(2)} mm`);
  });

  it('are told where a girdle notches them deepest', () => {
    const { row, view } = planned();
    const notch = (thick: number) => {
      // one that stands as the others do and is thicker reaches further over the girdles beside it
      const claws = row.claws.map((c, i) => (i === thick ? { ...c, radius: 1.1 * c.radius } : c));
      const whole = { ...row, claws };
      const rows = [{ ...whole, sets: row.sets.map((s) => ({ ...s, whole })) }];
      const { measured, place: told } = checksOf('claw-bite', { ...view, rows } as unknown as BenchView)[1];
      const [, degrees] = /(-?[\d.]+)°/.exec(told)!;
      return { mm: Number.parseFloat(measured), degrees: Number(degrees) };
    };
    const even = notch(-1);
    expect(even.mm).toBeGreaterThan(0);
    const middle = row.claws.length >> 1;
    const told = notch(middle);
    expect(told.mm).toBeGreaterThan(even.mm);
    const beside = row.sets[0].places.filter((at) => pinsAt(row.sets[0], at, [row.claws[middle]]).length > 0);
    expect(beside.length).toBeGreaterThan(0);
    const apart = (theta: number) => Math.abs(Math.sin((theta - (told.degrees * Math.PI) / 180) / 2));
    expect(Math.min(...beside.map(({ theta }) => apart(theta)))).toBeLessThan(0.001);
  });

  it('guard the corners of princess cuts within their own width', () => {
    const corners = [[1, 1], [-1, 1], [-1, -1], [1, -1]]; // biome-ignore format: a square
    const square = { tableHeight: 0.25, planes: [], girdle: { kind: 'polygon', corners } };
    const guard = (x: number) => ({ ...pin(0, 0.25), frame: { ...pin(0, 0).frame, origin: [x, 9, -1] } });
    const bare = (...claws: unknown[]) => {
      const at = { ...place({}).places[0], frame: pin(0, 0).frame };
      return checksOf('guarded-points', withRow({ stone: square, places: [at] }, { claws }))[0];
    };
    expect(bare().measured).toBe('4 of 4 corners bare');
    expect(bare(guard(1.499))).toMatchObject({ passed: false, measured: '3 of 4 corners bare' });
    expect(bare(guard(1.501)).measured).toBe('4 of 4 corners bare');
    const all = corners.map(([x, y]) => ({
      ...pin(0, 0.25),
      frame: { ...pin(0, 0).frame, origin: [x, 9, -y] },
    }));
    expect(bare(...all)).toMatchObject({ passed: true, measured: '0 of 4 corners bare' });
    // corners that turn by 45° and less, as an oval's facets do, need none
    const turn = (n: number) => {
      const ring = Array.from({ length: n }, (_, i) => [
        Math.cos((2 * Math.PI * i) / n),
        Math.sin((2 * Math.PI * i) / n),
      ]);
      const stone = { ...square, girdle: { kind: 'polygon', corners: ring } };
      return checksOf(
        'guarded-points',
        withRow({ stone, places: [{ ...place({}).places[0], frame: pin(0, 0).frame }] }, {}),
      );
    };
    expect(turn(9)).toEqual([]);
    expect(turn(7)).toHaveLength(1);
    // channel walls cover them
    expect(
      checksOf('guarded-points', withRow({ stone: square }, { channel: { half: 1, lip: 1, underFloor: 1 } }))
        .length,
    ).toBe(0);
  });
});

describe('the worst of several', () => {
  it('places of a row is told: wall, rim, culet and floor', () => {
    const at = (change: Record<string, number>, theta: number) => ({ ...place(change).places[0], theta });
    const told = (rule: BenchRuleName, ...places: unknown[]) => {
      const [check] = checksOf(rule, withRow({ places }));
      return `${check.measured} ${/θ = (\d+)/.exec(check.place)?.[1]}`;
    };
    expect(
      told('wall-beside-seat', at({ wall: 0.5, rim: 0.7 }, 0), at({ wall: 0.8, rim: 0.3 }, Math.PI)),
    ).toBe('0.30 mm 180');
    expect(told('floor-under-culet', at({ culetAbove: 0.5 }, 0), at({ culetAbove: 0.3 }, Math.PI / 2))).toBe(
      '0.30 mm 90',
    );
    expect(told('metal-under-seat', at({ bore: -1 }, 0), at({ bore: -0.9 }, Math.PI))).toBe('0.50 mm 180');
  });

  it('sizes of a row is told, by how near each comes to its limit', () => {
    const { rows } = withRow(place({ culetAbove: 0.9 }));
    const [row] = rows;
    const set = (culetAbove: number, name: string) => ({ ...row.sets[0], ...place({ culetAbove }), name });
    const sets = [set(0.5, 'large'), set(0.1, 'small'), set(0.3, 'middle')];
    const view = viewOf(band, { rows: [{ ...row, sets }] as unknown as WholeRow[] });
    const found = checksOf('floor-under-culet', view);
    expect(found).toHaveLength(1);
    expect(found[0].place).toContain("'small'");
  });
});

describe('metal that carries stones', () => {
  const under = (set: Record<string, unknown>, design: Parameters<typeof rowDesign>[0] = {}) => {
    const [check] = checksOf('metal-under-seat', withRow(set, {}, design));
    return [check.measured, check.place.split(' of ')[0]];
  };

  it('lies under the bearing of open seats, under the cut of closed ones, and is a floor where one is asked for', () => {
    const open = seat({ hole: hole(0.8) });
    // bearing's foot at −0.4; the bore at −1, and at −0.7 where it is highest under the hole
    expect(under({ ...open, ...place({ highBore: -0.7 }) })).toEqual(['0.30 mm', 'under the bearings']);
    expect(under(place({ highBore: -0.7 }))).toEqual(['0.60 mm', 'under the seats']);
    expect(under({ ...open, ...place({}) }, { floorMm: 0.45 })).toEqual(['0.45 mm', 'under the holes']);
  });

  it('is cast open where holes are no deeper than wide; a floor makes them shallower', () => {
    const depth = (floorMm?: number) =>
      checksOf('hole-depth', withRow({ ...seat({ hole: hole(0.5) }), ...place({}) }, {}, { floorMm }))[0]
        .measured;
    expect([depth(), depth(0.25)]).toEqual(['0.60 mm', '0.35 mm']);
  });

  it('closed seats want 0.2 mm of floor as an error, open ones as advice', () => {
    const culet = (culetAbove: number, design: Parameters<typeof rowDesign>[0]) => {
      const [check] = checksOf(
        'floor-under-culet',
        withRow({ ...place({ culetAbove }), ...seat({ hole: hole(0.8) }) }, {}, design),
      );
      return [check.severity, check.place.split(', ')[1]];
    };
    expect(culet(0.15, {})).toEqual(['warning', 'open']);
    expect(culet(0.15, { floorMm: 0.3 })).toEqual(['error', 'closed']);
  });
});

describe('bearings', () => {
  // a cut to the pavilion's angle within 2°: common practice; a brilliant's pavilion of 40.75° (Tolkowsky 1919)
  it('follow the pavilion within two degrees', () => {
    const rad = Math.PI / 180;
    const n = [Math.sin(40.75 * rad), 0, -Math.cos(40.75 * rad)];
    const bearing = (degrees: number, change: Record<string, unknown> = {}) => {
      const stone = {
        tableHeight: 0.25,
        girdle: hole(1.5),
        cone: {},
        planes: [
          { facet: 'main', n: [0, 0, 1] },
          { facet: 'half', n: [0, 0, -1] },
          { facet: 'main', n },
        ],
        ...change,
      };
      const run = 0.77 - 0.4;
      const cut = seat({
        hole: hole(0.8),
        bearingTop: -0.05,
        bearingFoot: -0.05 - run * Math.tan(degrees * rad),
      });
      return checksOf('bearing-angle', withRow({ stone, ...cut }));
    };
    expect(bearing(42.74)[0]).toMatchObject({
      passed: true,
      measured: '42.7°',
      limit: 'within 2° of the pavilion’s 40.8°',
    });
    expect([42.76, 38.76, 38.74].map((a) => bearing(a)[0].passed)).toEqual([false, true, false]);
    expect(bearing(42, { cone: undefined })).toEqual([]);
    expect(bearing(42, { planes: [] })).toEqual([]);
  });
});

describe('tables', () => {
  // common practice: level with the metal or just above; claw-set stones up to 0.35 mm
  it.each([
    ['channel', 0.05],
    ['flush', 0.02],
    ['grain', 0.15],
    ['shared-claws', 0.35],
    ['none', 0.35],
    ['bezel', 2],
    ['head', 4],
  ] as const)('of %s settings stand at most %f mm over the outside', (style, most) => {
    const outside = 54 / (2 * Math.PI) + 1.6;
    const table = (over: number) => {
      // a girdle 1 mm below the flat outside
      const frame = { origin: [0, outside - 1, 0], x: [1, 0, 0], y: [0, 0, -1], axis: [0, 1, 0] };
      const deep = { ...frame, origin: [0, outside - 2, 0] };
      const stone = { tableHeight: 1 + over, planes: [], girdle: hole(1.5) };
      const places = [deep, frame].map((f, i) => ({ ...place({}).places[0], frame: f, theta: i * Math.PI }));
      const view = withRow(
        { stone, places },
        {},
        { setting: { style } as unknown as ShapeDesign['rows'][number]['setting'] },
      );
      return checksOf('table-height', view)[0];
    };
    expect(table(most - STEP)).toMatchObject({ passed: true, severity: 'info' });
    expect(table(most + STEP).passed).toBe(false);
    expect(table(most + 0.1).place).toContain('180');
  });
});

describe('lanes', () => {
  const sound = (change: Partial<ShapeDesign>) => viewOf(bandDesign(change));
  const lanes = (recess: number): Partial<ShapeDesign> => ({
    thicknessMm: 1.6,
    seams: [{ kind: 'straight', atMm: 0 }],
    lanes: [
      { name: 'low', recessMm: recess, softenMm: 0 },
      { name: 'high', recessMm: 0, softenMm: 0 },
    ],
  });

  // morrisandwatson.com: walls from 0.4 mm
  it('want walls of 0.4 mm and as much across', () => {
    const wall = (mm: number) => checksOf('cast-wall', sound(lanes(1.6 - mm)))[0];
    expect([wall(0.4 + STEP).passed, wall(0.4 - STEP).passed]).toEqual([true, false]);
    expect(wall(0.5)).toMatchObject({
      measured: '0.50 mm',
      place: "radial metal of lane 'low' at its sides",
    });
    const across = (mm: number) =>
      checksOf(
        'least-lane-width',
        sound({ ...lanes(0), widthMm: 4, seams: [{ kind: 'straight', atMm: -2 + mm }] }),
      )[0];
    expect([across(0.4 + STEP).passed, across(0.4 - STEP).passed]).toEqual([true, false]);
  });

  it('lose to a hammer what its deepest blow takes, and are told as such', () => {
    const hammered = sound({
      lanes: [{ name: 'all', recessMm: 0, softenMm: 0, hammer: { depthMm: 0.1, sizeMm: 2, seed: 1 } }],
    } as unknown as Partial<ShapeDesign>);
    const [check] = checksOf('cast-wall', hammered);
    expect(check.place).toBe("radial metal of lane 'all' at its sides, less the deepest of its relief");
    expect(Number.parseFloat(check.measured)).toBeLessThan(1.5 + 1e-9);
    expect(Number.parseFloat(check.measured)).toBeGreaterThan(1.6 - 0.2);
  });

  it('with a stepped edge are measured under its shoulder too', () => {
    const step = { sides: 'low' as const, widthMm: 0.8, depthMm: 0.5, softenMm: 0, footMm: 0 };
    const [check] = checksOf(
      'cast-wall',
      sound({ widthMm: 5, ...section({ edgeMm: 0, boreEdgeMm: 0, step }) }),
    );
    expect(check).toMatchObject({
      measured: '1.10 mm',
      place: "radial metal of lane 'all' at its sides and under its shoulder",
    });
  });
});

describe('bands', () => {
  it('of a concave section are told where they are thinnest, others where thickest', () => {
    const place = (change: Partial<ShapeDesign>) =>
      checksOf('band-thickness', viewOf(bandDesign(change))).map((c) => c.place);
    expect(place({})).toEqual(['where the band is thickest']);
    const taper = { widthMm: 3, thicknessMm: 1.3 } as ShapeDesign['taper'];
    expect(place({ taper })).toEqual([
      'where the band is thickest, at the top',
      'where the band is thickest, at the back',
    ]);
    const width = checksOf('band-width', viewOf(bandDesign({ widthMm: 4, taper })));
    expect(width.map((c) => [c.place, c.measured])).toEqual([
      ['band, at the top', '4.00 mm'],
      ['band, at the back', '3.00 mm'],
    ]);
  });

  it('are as soft as their sharpest outer edge, and a groove’s rims are cut', () => {
    const edges = (change: Partial<ShapeDesign>) =>
      checksOf('edge-softening', viewOf(bandDesign(change))).map((c) => `${c.place} ${c.measured}`);
    expect(edges(section({ edgeMm: 0.3, farEdgeMm: 0.11 }))[0]).toBe('outer edges of the band 0.11 mm');
    const seams = (marks: unknown[]) =>
      edges({
        widthMm: 6,
        seams: marks.map((m, i) => ({ kind: 'straight', atMm: i - 0.5, ...(m ? { marks: m } : {}) })),
        lanes: ['a', 'b', 'c'].map((name) => ({ name, recessMm: 0, softenMm: 0.15 })),
      } as unknown as Partial<ShapeDesign>).slice(2);
    const groove = { seam: 's', groove: { widthMm: 0.3, depthMm: 0.2, profile: 'v' } };
    const of = (...names: string[]) => names.map((n) => `lane '${n}' at its seams 0.15 mm`);
    expect(seams([undefined, undefined])).toEqual(of('a', 'b', 'c'));
    expect(seams([groove, undefined])).toEqual(of('b', 'c'));
    expect(seams([undefined, groove])).toEqual(of('a', 'b'));
    expect(seams([groove, groove])).toEqual([]);
  });

  it('are as thick over all as their highest stone, claw or bead', () => {
    const bore = 54 / (2 * Math.PI);
    const at = (over: number) => ({
      origin: [0, bore + over, 0],
      x: [1, 0, 0],
      y: [0, 0, -1],
      axis: [0, 1, 0],
    });
    const told = (change: Partial<BenchView>) => {
      const [check] = checksOf('overall-thickness', viewOf(bandDesign({ thicknessMm: 1.5 }), change));
      return [check.measured, check.place];
    };
    expect(told({})).toEqual(['1.50 mm', 'bore to the outside']);
    const member = { set: { stone: { tableHeight: 0.5 } }, place: { frame: at(1.6) } };
    const row = (of: Record<string, unknown>) => ({
      rows: [{ design: {}, members: [], claws: [], ...of }] as unknown as WholeRow[],
    });
    const highest = 'bore to the highest stone, claw or metal';
    expect(told(row({ members: [member] }))).toEqual(['2.10 mm', highest]);
    expect(told(row({ claws: [{ frame: at(1.4), tip: 0.4, bend: 0 }] }))).toEqual(['1.80 mm', highest]);
    expect(told(row({ grain: { grains: [{ frame: at(1.4), tip: 0.3, bend: 0 }] } }))).toEqual([
      '1.70 mm',
      highest,
    ]);
    const milgrains = [{ frames: [at(1.5)], design: { beadMm: 0.4 } }];
    expect(told({ marks: { milgrains } as unknown as BenchView['marks'] })).toEqual([
      '1.70 mm',
      'bore to the outside',
    ]);
  });

  it('below 3 mm want no comfort dome (leonmege.com), wider ones 0.1 to 0.3 mm', () => {
    const dome = (widthMm: number, comfortMm: number) =>
      checksOf('comfort-dome', viewOf(bandDesign({ widthMm, ...section({ comfortMm }) })));
    expect(dome(4, 0)).toEqual([]);
    expect(dome(2.999, 0.2)[0]).toMatchObject({
      passed: false,
      limit: 'no dome below 3.00 mm of width',
      measured: '0.20 mm',
    });
    expect(dome(3, 0.2)[0]).toMatchObject({ passed: true, limit: '0.10 mm to 0.30 mm' });
    expect([dome(4, 0.1 - 1e-11)[0].passed, dome(4, 0.3 + 1e-11)[0].passed]).toEqual([true, true]);
  });

  it('from 5 mm sit tighter: half a US size is 0.41 mm across (12.7 · .032 in)', () => {
    const wide = (comfortMm: number) =>
      checksOf('wide-band-size', viewOf(bandDesign({ widthMm: 5, ...section({ comfortMm }) })))[0];
    expect(wide(0)).toMatchObject({
      passed: false,
      limit: 'below 5.00 mm; wider sits tighter: try up to ½ US size (0.40 mm) more',
    });
    expect(wide(0.2).limit).toContain('less what the comfort bore gives');
    expect(checksOf('wide-band-size', viewOf(bandDesign({ widthMm: 4.999 })))[0].passed).toBe(true);
  });

  it('wider than 8 mm are told to be so in an emergency, the widest place of a tapered one', () => {
    const told = (change: Partial<ShapeDesign>) =>
      checksOf('emergency-size', viewOf(bandDesign(change))).map((c) => [c.passed, c.measured]);
    expect(told({ widthMm: 8 })).toEqual([[true, '1.60 mm']]);
    expect(told({ widthMm: 8.01 })).toEqual([
      [true, '1.60 mm'],
      [false, '8.01 mm'],
    ]);
    const taper = { widthMm: 5, thicknessMm: 1.3 } as ShapeDesign['taper'];
    expect(told({ widthMm: 9, taper })).toEqual([
      [true, '1.60 mm'],
      [false, '9.00 mm'],
    ]);
  });
});

describe('marks are told where they are', () => {
  it('inside or on their lane, and where walls meet', () => {
    const depth = (change: Record<string, unknown>) => checksOf('engraving-depth', letters(change))[0].place;
    expect(depth({})).toBe('inside engraving');
    expect(depth({ side: 'outside', lane })).toBe("outside engraving on lane 'near'");
    expect(depth({ reached: { leastMm: 0.1, mostMm: 0.2 } })).toContain(
      'where the walls of its narrowest stroke meet',
    );
    const wall = checksOf('engraving-wall', letters({ wall: { mm: 0.6, theta: Math.PI } }))[0];
    expect(wall).toMatchObject({ severity: 'warning', place: 'under the inside engraving at θ = 180.0°' });
    expect(checksOf('engraving-wall', letters({ wall: { mm: 0.5 - 1e-11, theta: 0 } }))[0].severity).toBe(
      'warning',
    );
    const beads = (along: string) =>
      checksOf(
        'milgrain-bead',
        marks({ milgrains: [{ design: { beadMm: 0.3 }, along, lane, frames: [] }] }),
      )[0].place;
    expect([beads('edge'), beads('line')]).toEqual([
      "beads along the edges on lane 'near'",
      "beads along seam 'line' on lane 'near'",
    ]);
  });
});

describe('limits', () => {
  it('are met by what stands on them, and missed by a nanometre', () => {
    expect([
      atLeast(0.4, 0.4, phrase('band')).passed,
      atLeast(0.4, 0.4 - 1e-6, phrase('band')).passed,
    ]).toEqual([true, false]);
  });

  it('between the points of a table lie on straight lines, level beyond its ends', () => {
    const table = [[1, 10], [2, 20], [4, 60]] as const; // biome-ignore format: a table
    expect([0.5, 1, 1.5, 2, 3, 4, 9].map((x) => between(table, x))).toEqual([10, 10, 15, 20, 40, 60, 60]);
  });
});
