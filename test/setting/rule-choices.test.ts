import { describe, expect, it } from 'vitest';
import type { ShapeDesign } from '../../pipeline/plan/design.ts';
import type { BenchView } from '../../pipeline/setting/bench-rule.ts';
import { heightFinding } from '../../pipeline/setting/claw-rules.ts';
import type { WholeRow } from '../../pipeline/setting/row-plan.ts';
import type { BenchRuleName, LimitSettings } from '../../pipeline/trade/bench-limits.ts';
import { inEnglish, phrase } from '../../pipeline/trade/bench-words.ts';
import { bandDesign } from '../band/designs.ts';
import { checksOf, hole, pin, place, planned, rowWith, seat, section, viewOf } from './bench-views.ts';
import { BRIGHT_GRAIN } from './stone-designs.ts';

/** Which of several findings, places and words a rule tells; its limits stand in `rule-edges.test.ts`. */
const band = bandDesign(section());
const withRow = (...of: Parameters<typeof rowWith>) => viewOf(band, rowWith(...of));

describe('a limit of the config', () => {
  const view = (limits?: LimitSettings) =>
    viewOf(band, {
      limits,
      marks: {
        engravings: [],
        milgrains: [],
        grooves: [{ seam: 'a', wall: { mm: 0.5, theta: 0 } }],
      } as unknown as BenchView['marks'],
    });
  const told = (limits?: LimitSettings) => {
    const [{ limit, source, told: words }] = checksOf('groove-wall', view(limits));
    return [limit, source.startsWith('limit of the config; usual: morris'), words.ownLimit];
  };

  it('is told as such with the usual one beside it, unless it is the same', () => {
    expect(told()).toEqual(['at least 0.40 mm', false, undefined]);
    expect(told({ 'groove-wall': 0.6 })).toEqual(['at least 0.60 mm (usual: at least 0.40 mm)', true, true]);
    expect(told({ 'groove-wall': 0.4 })).toEqual(['at least 0.40 mm', true, true]);
  });
});

describe('of two sizes in a row', () => {
  /** The two sets in either order; what is told must be the worse of them. */
  const worse = (rule: BenchRuleName, view: BenchView, other: BenchView) => {
    const [[a], [b]] = [view, other].map(({ rows }) => rows[0].sets);
    const of = (...sets: unknown[]) =>
      checksOf(rule, viewOf(band, { rows: [{ ...view.rows[0], sets }] as unknown as WholeRow[] }))[0]
        .measured;
    expect(of(a, b)).toBe(of(b, a));
    return of(a, b);
  };
  const grain = (set: Record<string, unknown>) =>
    withRow(set, { grain: { grains: [pin(0, 0.15)] } }, { setting: BRIGHT_GRAIN });

  it('the one nearer to breaking a rule is told, from below and from above', () => {
    const depth = (surface: number) => grain(place({ surface }));
    expect(worse('girdle-depth', depth(0.1), depth(0.03))).toBe('0.03 mm');
    expect(worse('girdle-depth', depth(0.1), depth(0.2))).toBe('0.20 mm');
    const stone = (tableHeight: number) =>
      withRow({ stone: { tableHeight, planes: [], girdle: hole(1.5) } }, { claws: [pin(0, 0.25, 0.2)] });
    // 0.2 mm of claw on tables of 0.28, 0.4 and 0.22 mm
    expect(worse('claw-height', stone(0.28), stone(0.4))).toBe('50 %');
    expect(worse('claw-height', stone(0.28), stone(0.22))).toBe('91 %');
    const rad = Math.PI / 180;
    const pavilion = (degrees: number) => ({
      tableHeight: 0.25,
      cone: {},
      girdle: hole(1.5),
      planes: [{ facet: 'main', n: [Math.sin(degrees * rad), 0, -Math.cos(degrees * rad)] }],
    });
    const bearing = (off: number) => {
      const cut = seat({ hole: hole(0.8), bearingFoot: -0.05 - 0.37 * Math.tan(41 * rad) });
      return withRow({ stone: pavilion(41 + off), ...cut });
    };
    const [check] = checksOf('bearing-angle', bearing(3));
    expect(check.passed).toBe(false);
    const limits = [bearing(0.5), bearing(3)].map((v) => v.rows[0].sets[0]);
    for (const sets of [limits, [...limits].reverse()])
      expect(
        checksOf(
          'bearing-angle',
          viewOf(band, { rows: [{ ...bearing(0).rows[0], sets }] as unknown as WholeRow[] }),
        )[0].limit,
      ).toContain('44.0°');
    const corners = (n: number) => ({
      kind: 'polygon',
      corners: [
        [1, 1],
        [-1, 1],
        [-1, -1],
        [1, -1],
      ].slice(0, n),
    });
    const pointed = (n: number) =>
      withRow({
        stone: { tableHeight: 0.2, planes: [], girdle: corners(n) },
        places: [{ ...place({}).places[0], frame: pin(0, 0).frame }],
      });
    expect(worse('guarded-points', pointed(3), pointed(4))).toBe('4 of 4 corners bare');
  });
});

describe('of several places', () => {
  const at = (change: Record<string, number>, theta: number) => ({ ...place(change).places[0], theta });
  it.each<[BenchRuleName, Record<string, number>, Record<string, number>, string]>([
    ['wall-beside-seat', { wall: 0.3 }, { wall: 0.5 }, '0.30 mm'],
    ['floor-under-culet', { culetAbove: 0.3 }, { culetAbove: 0.5 }, '0.30 mm'],
    ['metal-under-seat', { bore: -0.9 }, { bore: -1 }, '0.50 mm'],
  ])('%s tells the worst, wherever it stands', (rule, worst, other, measured) => {
    for (const places of [
      [at(worst, 0), at(other, 1)],
      [at(other, 1), at(worst, 0)],
    ]) {
      const [check] = checksOf(rule, withRow({ places }));
      expect(check.measured).toBe(measured);
      expect(check.place).toContain('θ = 0.0°');
    }
  });

  it('the deepest hole, the thinnest metal, the highest table and the least mark', () => {
    const holes = { ...seat({ hole: hole(0.5) }), places: [at({ bore: -1 }, 0), at({ bore: -1.2 }, 1)] };
    expect(checksOf('hole-depth', withRow(holes))[0].measured).toBe('0.80 mm');
    const stone = { tableHeight: 0.2, planes: [], solid: { depthMm: 0.9 } };
    const flush = { flush: { radius: 0.5, wall: 9 }, lane: { name: 'a' }, stone };
    const thin = { ...flush, places: [at({ surface: 0.5 }, 0), at({ surface: 0.3 }, 1)] };
    expect(checksOf('flush-metal', withRow(thin))[0].measured).toBe('1.30 mm');
    // holes are told of flush stones only, and of those that have one
    expect(checksOf('flush-hole', withRow(seat({ hole: hole(1.4) })))).toEqual([]);
    expect(checksOf('flush-hole', withRow(flush))).toEqual([]);
    const outside = 54 / (2 * Math.PI) + 1.6;
    const frame = (below: number) => ({ ...pin(0, 0).frame, origin: [0, outside - below, 0] });
    const places = [1, 2].map((below) => ({ ...at({}, below), frame: frame(below) }));
    for (const order of [places, [...places].reverse()])
      expect(
        checksOf('table-height', withRow({ stone: { tableHeight: 1.2, planes: [] }, places: order }))[0]
          .measured,
      ).toBe('0.20 mm');
    const beads = (...mm: number[]) => {
      const milgrains = mm.map((beadMm) => ({ design: { beadMm }, along: 'edge', lane: { name: 'a' } }));
      return checksOf(
        'milgrain-bead',
        viewOf(band, { marks: { milgrains } as unknown as BenchView['marks'] }),
      )[0].measured;
    };
    expect([beads(0.2, 0.4), beads(0.4, 0.2)]).toEqual(['0.20 mm', '0.20 mm']);
  });

  it('depths of girdles are told as one where they are one to half a hundredth', () => {
    const depth = (...surfaces: number[]) =>
      checksOf(
        'girdle-depth',
        withRow({ places: surfaces.map((surface) => at({ surface }, 0)) }, {}, { setting: BRIGHT_GRAIN }),
      )[0].measured;
    expect(depth(0.1, 0.1004)).toBe('0.10 mm');
    expect(depth(0.1, 0.1006)).toBe('0.10 mm to 0.101 mm');
    expect(depth(0.08, 0.12)).toBe('0.08 mm to 0.12 mm');
  });
});

describe('pins', () => {
  it('of a height are told in whole percent, and pass on the limit', () => {
    const at = (share: number, least: number) => {
      const { limit, measured, passed } = heightFinding(share, least, phrase('band'));
      return [inEnglish(limit), inEnglish(measured), passed];
    };
    expect(at(0.777, 0.625)).toEqual(['63 % to 80 % (of girdle to table)', '78 %', true]);
    expect(at(0.854, 0.854)[0]).toBe('85 % to 85 % (of girdle to table)');
    expect([0.6 - 1e-10, 0.8 + 1e-10, 0.599, 0.801].map((s) => at(s, 0.6)[2])).toEqual([
      true,
      true,
      false,
      false,
    ]);
  });

  it('bite with the fourth best at a stone, and the worst stone is told', () => {
    const { row, view } = planned();
    const bite = (claws: unknown[]) => {
      const whole = { ...row, claws };
      const rows = [{ ...whole, sets: row.sets.map((s) => ({ ...s, whole })) }];
      return checksOf('claw-bite', { ...view, rows: rows as unknown as WholeRow[] })[0];
    };
    const sound = bite(row.claws);
    expect(sound).toMatchObject({ passed: true, limit: 'at least 0.03 mm' });
    // pins so low that they reach over no crown, between those that hold
    const weak = row.claws.map((claw) => ({ ...claw, tip: 0.02 }));
    const mixed = row.claws.flatMap((claw, i) => [claw, weak[i]]);
    expect([bite(mixed).measured, bite([...mixed].reverse()).measured]).toEqual([
      sound.measured,
      sound.measured,
    ]);
    for (const lost of [0, 1, Math.floor(row.claws.length / 2)])
      expect(bite(row.claws.filter((_, i) => i !== lost)).measured).toBe('0.00 mm');
  });

  it('of a field of grains bite and stand as claws do', () => {
    const { view } = planned(
      { diameterMm: 1.3, setDepthMm: 0.15, coverage: { kind: 'arc', angleRad: 1.2 }, setting: BRIGHT_GRAIN },
      { widthMm: 4, thicknessMm: 1.9 },
    );
    const [bite] = checksOf('grain-bite', view);
    expect(bite).toMatchObject({ passed: true, limit: 'at least 0.03 mm' });
    // 0.2 of a grain's diameter is what it overlaps the girdle by
    expect(Number.parseFloat(bite.measured)).toBeLessThan(0.2 * 0.34 + 0.01);
    const tips = (...of: number[]) => {
      const grains = of.map((tip) => pin(0.8, 0.15, tip));
      const places = [{ ...place({}).places[0], frame: pin(0, 0).frame }];
      return checksOf(
        'grain-height',
        withRow({ places }, { grain: { grains } }, { setting: BRIGHT_GRAIN }),
      )[0];
    };
    // gia.edu: 60–80 % of girdle to table, here 0.25 mm
    expect(tips(0.19, 0.16)).toMatchObject({ measured: '64 %', limit: '60 % to 80 % (of girdle to table)' });
    expect([tips(0.151).passed, tips(0.149).passed, tips(0.201).passed]).toEqual([true, false, false]);
  });

  it('that stand turned are measured at their own tops', () => {
    const one = { ...pin(0, 0.25, 1.25), frame: { ...pin(0, 0).frame, axis: [0.1, Math.sqrt(0.99), 0] } };
    const turned = { origin: [1, 9, 0], x: [-1, 0, 0], y: [0, 0, 1], axis: [-0.1, Math.sqrt(0.99), 0] };
    const [check] = checksOf('claw-gap', withRow({}, { claws: [one, { ...one, frame: turned }] }));
    // 0.50 mm at their feet; straight-sided ones that lean by 0.1 each would leave 0.25 mm at 1.25 mm, tapered ones more
    const gap = Number.parseFloat(check.measured);
    expect(gap).toBeLessThan(0.45);
    expect(gap).toBeGreaterThan(0.25);
  });
});

describe('lanes and bands', () => {
  it('tell metal under facets where it is the least', () => {
    const faceted = (depthMm: number, change: Partial<ShapeDesign> = {}) => {
      const facets = { count: 24, depthMm, slantRad: 0 };
      const [check] = checksOf(
        'cast-wall',
        viewOf(bandDesign({ lanes: [{ name: 'all', recessMm: 0, softenMm: 0, facets }], ...change })),
      );
      return [check.measured, check.place];
    };
    expect(faceted(1.25)).toEqual(['0.35 mm', "radial metal of lane 'all' under its facets’ middle"]);
    // a dome that falls by 0.8 mm to its sides
    const [measured, where] = faceted(0.1, section({ name: 'd', domeMm: 0.8, edgeMm: 0, boreEdgeMm: 0 }));
    expect([measured, where]).toEqual(['0.80 mm', "radial metal of lane 'all' at its sides"]);
  });

  it('of a dome are as thick as at its crest, and higher by what stands over it, however it is turned', () => {
    const [check] = checksOf('band-thickness', viewOf(bandDesign(section({ name: 'd', domeMm: 0.5 }))));
    expect(check.measured).toBe('1.60 mm');
    const bore = 54 / (2 * Math.PI);
    const tall = (frame: Record<string, unknown>) => {
      const origin = [0, bore + 1.6, 0];
      const axis = [0, 1, 0];
      const member = { set: { stone: { tableHeight: 0.5 } }, place: { frame: { origin, axis, ...frame } } };
      const claw = { ...pin(0, 0.25, 0.7), frame: { origin, axis, ...frame } };
      const of = (row: Record<string, unknown>) =>
        checksOf(
          'overall-thickness',
          viewOf(band, { rows: [{ design: {}, members: [], claws: [], ...row }] as unknown as WholeRow[] }),
        )[0].measured;
      return [of({ members: [member] }), of({ claws: [claw] })];
    };
    expect(tall({ x: [1, 0, 0], y: [0, 0, -1] })).toEqual(['2.10 mm', '2.30 mm']);
    expect(tall({ x: [0, 0, 1], y: [1, 0, 0] })).toEqual(['2.10 mm', '2.30 mm']);
    const [, wide] = checksOf('emergency-size', viewOf(bandDesign({ widthMm: 9 })));
    expect(wide.limit).toBe('at most 8.00 mm');
  });

  it('with an inlay want 0.6 mm beneath it and 0.4 mm of it (common practice)', () => {
    const seams = [-1, 1].map((atMm) => ({ kind: 'straight' as const, atMm }));
    const inlaid = (depthMm: number) =>
      viewOf(
        bandDesign({
          thicknessMm: 1.6,
          seams,
          lanes: ['a', 'b', 'c'].map((name) => ({
            name,
            recessMm: 0,
            softenMm: 0,
            ...(name === 'b' ? { inlay: { depthMm, bed: 'a' } } : {}),
          })),
        } as unknown as ShapeDesign),
      );
    const passed = (rule: BenchRuleName, depthMm: number) =>
      checksOf(rule, inlaid(depthMm)).map((c) => c.passed);
    expect([passed('inlay-floor', 0.9999), passed('inlay-floor', 1.0001)]).toEqual([[true], [false]]);
    expect([passed('inlay-metal', 0.4001), passed('inlay-metal', 0.3999)]).toEqual([[true], [false]]);
  });
});

describe('tables between their points', () => {
  it('walls beside seats: 0.375 mm at 1.15 mm, 0.65 mm at 3.75 mm and 0.8 mm from 5 mm', () => {
    const limit = (diameterMm: number) =>
      checksOf('wall-beside-seat', withRow({}, {}, { diameterMm }))[0].limit;
    // halves and quarters of the way from 0.35 at 0.8 to 0.4 at 1.5, from 0.5 at 2.5 to 0.8 at 5 mm
    expect([1.15, 3.75, 4.5, 5].map(limit)).toEqual([
      'at least 0.375 mm',
      'at least 0.65 mm',
      'at least 0.74 mm',
      'at least 0.80 mm',
    ]);
  });

  it('closed seats name one floor, which is an error', () => {
    const [check] = checksOf('floor-under-culet', withRow(place({ culetAbove: 0.3 })));
    expect(check).toMatchObject({ passed: true, severity: 'error', limit: 'at least 0.20 mm' });
  });

  it('channel openings are told to a tenth of a percent', () => {
    const row = withRow({}, { channel: { half: 0.85555, lip: 1, underFloor: 1 } }, { diameterMm: 2 });
    expect(checksOf('channel-opening', row)[0].measured).toBe('85.6 %');
  });

  it('channel walls are sought at the stones and midway between them', () => {
    const setting = { style: 'channel', openingShare: 0.88 } as const;
    const { row, view } = planned({ setDepthMm: 0.2, setting }, { widthMm: 4, thicknessMm: 2.4 });
    // the same lane with a side that draws in by 0.3 mm over a tenth of a radian at one angle
    const wall = (dip: number, thetas: number[]) => {
      const high = row.lane.high;
      const z = (theta: number) => high.curve.z(theta) - 0.3 * Math.exp(-(((theta - dip) / 0.05) ** 2));
      const lane = { ...row.lane, high: { ...high, curve: { ...high.curve, z } } };
      const members = thetas.map((theta) => ({ place: { theta } }));
      const rows = [{ ...row, lane, members }] as unknown as WholeRow[];
      return Number.parseFloat(checksOf('channel-wall', { ...view, rows })[0].measured);
    };
    const even = wall(3, [0.4, 1]);
    for (const dip of [0.4, 0.7, 1]) expect(wall(dip, [0.4, 1]), `${dip}`).toBeLessThan(even - 0.1);
    expect(wall(0.55, [0.4, 1])).toBeCloseTo(even, 1);
  });
});
