import { beforeAll, describe, expect, it } from 'vitest';
import type { BuiltShape } from '../../pipeline/band/built-shape.ts';
import type { RowDesign, ShapeDesign } from '../../pipeline/plan/design.ts';
import { ProblemError } from '../../pipeline/problem.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { pinsOf, thinnest } from '../../pipeline/setting/claw-rules.ts';
import { loadSolidKernel, type SolidKernel } from '../../pipeline/setting/solid-kernel.ts';
import { stoneOrder } from '../../pipeline/setting/stone-order.ts';
import { solidFrom } from './bare-solid.ts';
import { plannedShape } from './planned-shape.ts';
import { expectSoundSet } from './sound-set.ts';
import { rowDesign, SMALL, straightRowDesign, wavyRowDesign } from './stone-designs.ts';

let kernel: SolidKernel;
beforeAll(async () => {
  kernel = await loadSolidKernel();
});

const third = { kind: 'arc', angleRad: (2 * Math.PI) / 3 } as const;
const claws = { style: 'shared-claws', clawDiameterMm: 0.56, clawHeightMm: 0.16 } as const;
const grain = {
  style: 'grain',
  grainMm: 0.32,
  grains: 'shared',
  fieldMm: 0.2,
  fieldDepthMm: 0.1,
  brightCut: true,
} as const;
const graduate = { toMm: 1, stepMm: 0.05 };
const band = (row: Partial<RowDesign>, change: Partial<ShapeDesign> = {}) =>
  straightRowDesign({ coverage: third, ...row }, { widthMm: 4.4, thicknessMm: 2.2, ...SMALL, ...change });

/** Stones of all sizes in order of θ. */
function stonesInOrder(shape: BuiltShape) {
  return shape.rows
    .flatMap((row) =>
      Array.from({ length: row.count }, (_, k) => {
        const m = row.placements.slice(12 * k, 12 * k + 12);
        const at = [m[3], m[7], m[11]];
        return { row, m, at, theta: Math.atan2(at[0], at[1]), diameter: row.stone.diameterMm };
      }),
    )
    .sort((a, b) => a.theta - b.theta);
}

/** Girdle to girdle of round neighbours, by their centres. */
function gaps(shape: BuiltShape, closed: boolean): number[] {
  const stones = stonesInOrder(shape);
  const next = closed ? [...stones.slice(1), stones[0]] : stones.slice(1);
  return next.map((b, i) => {
    const a = stones[i];
    return Math.hypot(...a.at.map((v, k) => v - b.at[k])) - (a.diameter + b.diameter) / 2;
  });
}

const centreStone = { name: 'row-centre', cut: 'round-brilliant', diameterMm: 2.2 } as const;
const second = { name: 'row-2', cut: 'round-brilliant', diameterMm: 1.2 } as const;

describe.each([
  ['graduated under claws', band({ graduate, setting: claws }), 0],
  ['graduated under grains', band({ diameterMm: 1.4, setDepthMm: 0.14, graduate, setting: grain }), 0],
  [
    'graduated all round a wave',
    wavyRowDesign({ diameterMm: 1.3, graduate, setDepthMm: 0.1, setting: { style: 'none' } }, SMALL),
    1,
  ],
  ['alternating sizes', band({ alternate: [second], setting: claws }), 0],
  [
    'alternating all round',
    band({
      ...{ diameterMm: 2.2, alternate: [{ ...second, diameterMm: 1.8 }] },
      ...{ coverage: { kind: 'full' }, setting: claws },
    }),
    0,
  ],
  ['a centre stone', band({ diameterMm: 1.4, centre: centreStone, setting: claws }), 0],
  [
    'a centre stone and sizes falling from it, flush',
    band({
      leastGapMm: 0.7,
      centre: centreStone,
      graduate: { toMm: 1.3, stepMm: 0.05 },
      setting: { style: 'flush', lipMm: 0.08 },
    }),
    0,
  ],
] as [string, ShapeDesign, number][])('%s', (_, design, lane) => {
  it('stand in one manifold of genus 1 + one hole a stone, with one gap between all girdles', async () => {
    const shape = await buildShape(design, kernel);
    const count = shape.rows.reduce((sum, row) => sum + row.count, 0);
    expect(shape.rows.length).toBeGreaterThan(1);
    expectSoundSet(kernel, shape, lane, 1 + count);
    const closed = design.rows[0].coverage.kind === 'full';
    const [fit] = shape.fits;
    expect(fit.count).toBe(count);
    for (const gap of gaps(shape, closed)) expect(gap).toBeCloseTo(fit.gapMm!, 6);
    expect(fit.gapMm!).toBeGreaterThanOrEqual(design.rows[0].leastGapMm - 1e-9);
    expect(fit.more).toMatchObject({ fits: false });
    expect(fit.more!.gapMm!).toBeLessThan(design.rows[0].leastGapMm);
    expect(fit.fewer!.gapMm!).toBeGreaterThan(fit.gapMm! - 1e-9);
  });
});

describe('a graduated row', () => {
  it('falls alike on both sides of the top, in whole steps, from the size of the middle to that of the ends', async () => {
    const shape = await plannedShape(band({ graduate, setting: { style: 'none' } }), kernel);
    const sizes = stonesInOrder(shape).map(({ diameter }) => diameter);
    expect(sizes).toEqual([...sizes].reverse());
    expect(sizes[0]).toBe(1);
    expect(Math.max(...sizes)).toBeLessThanOrEqual(1.5);
    expect(Math.max(...sizes)).toBeGreaterThan(1.44);
    for (const size of sizes) expect(Math.abs(size / 0.05 - Math.round(size / 0.05))).toBeLessThan(1e-9);
  });

  it.each([
    ['claws', { setting: claws, setDepthMm: 0.05, leastGapMm: 0.06 }, claws.clawDiameterMm],
    ['shared grains', { setting: grain, setDepthMm: 0.14, leastGapMm: 0.06 }, grain.grainMm],
    ['grains of their own', { setting: { ...grain, grains: 'own' }, setDepthMm: 0.14 }, grain.grainMm],
  ] as [string, Partial<RowDesign>, number][])(
    'is held by %s that follow its stones',
    async (_, row, most) => {
      const design = band({ diameterMm: 1.5, graduate, ...row });
      const { rows } = (await plannedShape(design, kernel)).cuts;
      const sets = rows[0].sets.toSorted((a, b) => b.design.diameterMm - a.design.diameterMm);
      const widths = sets.map((set) => thinnest(pinsOf(set, set.whole.grain?.grains ?? set.whole.claws)));
      // as thick as the larger of two stones asks, which differ by a step or two
      for (const [
        i,
        {
          design: { diameterMm },
        },
      ] of sets.entries()) {
        expect(widths[i]).toBeGreaterThanOrEqual((most * diameterMm) / 1.5 - 1e-9);
        expect(widths[i]).toBeLessThanOrEqual((most * Math.min(1.5, diameterMm + 0.1)) / 1.5 + 1e-9);
      }
      expect(sets.at(-1)?.design.diameterMm).toBe(1);
      expect(widths.at(-1)).toBeCloseTo((most * 1) / 1.5, 9);
    },
  );

  it('keeps thicker claws where smaller ones would not reach across its gaps', async () => {
    const design = band({ diameterMm: 1.5, setDepthMm: 0.14, graduate, setting: claws });
    const [row] = (await plannedShape(design, kernel)).cuts.rows;
    const widths = row.claws.map(({ radius }) => 2 * radius);
    expect(Math.max(...widths)).toBeLessThanOrEqual(claws.clawDiameterMm + 1e-9);
    expect(Math.min(...widths)).toBeGreaterThan(claws.clawDiameterMm / 1.5 + 0.01);
  });

  it('one way goes from the first stone to the last, and its gaps are all alike', async () => {
    const design = band({ graduate: { ...graduate, oneWay: true }, setting: { style: 'none' } });
    const shape = await plannedShape(design, kernel);
    const sizes = stonesInOrder(shape).map(({ diameter }) => diameter);
    expect(sizes).toEqual(sizes.toSorted((a, b) => b - a));
    expect([sizes[0], sizes.at(-1)]).toEqual([1.5, 1]);
    const between = gaps(shape, false);
    for (const gap of between) expect(gap).toBeCloseTo(between[0], 6);
  });

  it('all round has its largest stone at the top and its smallest opposite', () => {
    const order = stoneOrder(rowDesign({ graduate }), 40, true).map(({ diameterMm }) => diameterMm);
    expect(order[0]).toBe(1.5);
    expect(order[20]).toBe(1);
    expect(order.slice(1)).toEqual(order.slice(1).reverse());
  });
});

it('a centre stone stands at the top and its neighbours touch the same gap on both sides', async () => {
  const shape = await plannedShape(band({ centre: centreStone, setting: claws }), kernel);
  const stones = stonesInOrder(shape);
  const middle = stones[(stones.length - 1) / 2];
  expect(middle.diameter).toBe(2.2);
  expect(middle.row.slot).toBe(1);
  expect(middle.theta).toBeCloseTo(0, 9);
});

it('two sizes in turn close round the band by the closed form: n/2 · (α + β) = π', async () => {
  // chords c = (Ø₁ + Ø₂)/2 + gap are all alike, so n · 2·asin(c / 2r) = 2π, n even
  const design = band({ alternate: [second], coverage: { kind: 'full' }, setting: { style: 'none' } });
  const shape = await plannedShape(design, kernel);
  const [{ count, gapMm }] = shape.fits;
  const r = design.circumferenceMm / (2 * Math.PI) + 2.2 - 0.05;
  const most = Math.floor(Math.PI / Math.asin((1.35 + 0.12) / (2 * r)));
  expect(count).toBe(most - (most % 2));
  expect(gapMm).toBeCloseTo(2 * r * Math.sin(Math.PI / count) - 1.35, 9);
});

describe('one stone fewer or more', () => {
  it('of a straight full row leaves the gap of the closed form 2r · sin(π/n) − Ø', async () => {
    const design = straightRowDesign({ setting: { style: 'none' } });
    const [fit] = (await plannedShape(design, kernel)).fits;
    const r = design.circumferenceMm / (2 * Math.PI) + 1.9 - 0.05;
    for (const step of [fit.fewer!, fit.more!])
      expect(step.gapMm!).toBeCloseTo(2 * r * Math.sin(Math.PI / step.count) - 1.5, 9);
    expect(fit.fewer).toMatchObject({ count: fit.count - 1, fits: true });
    expect(fit.more).toMatchObject({ count: fit.count + 1, fits: false });
  });
});

describe('squares and baguettes in one channel', () => {
  const mixed = band(
    {
      cut: 'princess',
      diameterMm: 1.6,
      lengthMm: 1.6,
      setDepthMm: 0.19,
      leastGapMm: 0.06,
      alternate: [{ name: 'row-2', cut: 'baguette', diameterMm: 1.6, lengthMm: 2.4 }],
      setting: { style: 'channel', openingShare: 0.9 },
    },
    { thicknessMm: 2.6 },
  );

  it('are held in one manifold, and their true distances are the gap', async () => {
    const shape = await buildShape(mixed, kernel);
    const count = shape.rows.reduce((sum, row) => sum + row.count, 0);
    expectSoundSet(kernel, shape, 0, 1 + count);
    const stones = stonesInOrder(shape).map(({ row, m }) => {
      const solid = solidFrom(kernel, row.stone.mesh);
      const placed = solid.transform([
        ...[m[0], m[4], m[8], 0],
        ...[m[1], m[5], m[9], 0],
        ...[m[2], m[6], m[10], 0],
        ...[m[3], m[7], m[11], 1],
      ] as never);
      solid.delete();
      return placed;
    });
    for (let i = 1; i < stones.length; i++) {
      const gap = stones[i].minGap(stones[i - 1], 0.5);
      expect(gap).toBeGreaterThan(0.06 - 1e-3);
      expect(gap).toBeLessThan(0.06 + 0.02);
    }
    for (const stone of stones) stone.delete();
  });

  it('must be of one width', async () => {
    const [row] = mixed.rows;
    const wide = { ...mixed, rows: [{ ...row, alternate: [{ ...row.alternate![0], diameterMm: 1.4 }] }] };
    const error = await buildShape(wide, kernel).catch((e: unknown) => e);
    expect((error as ProblemError).problems.map((p) => p.code)).toContain('channel-uneven');
  });
});

describe('two staggered lines', () => {
  const staggered = (
    apartMm: number,
    coverage: RowDesign['coverage'] = third,
    setting: RowDesign['setting'] = grain,
    diameterMm = 1.1,
  ) => band({ diameterMm, setDepthMm: 0.15, coverage, stagger: { apartMm }, setting }, { widthMm: 5 });

  it.each([
    ['part of the band', third, grain, 1.1],
    // larger stones, so that fewer go round
    ['the whole band', { kind: 'full' }, { style: 'none' }, 1.8],
  ] as [string, RowDesign['coverage'], RowDesign['setting'], number][])(
    'over %s stand half a pitch apart in one manifold',
    async (_, coverage, setting, diameterMm) => {
      const shape = await buildShape(staggered(diameterMm, coverage, setting, diameterMm), kernel);
      const stones = stonesInOrder(shape);
      expectSoundSet(kernel, shape, 0, 1 + stones.length);
      stones.forEach(({ at, theta }, i) => {
        expect(Math.abs(at[2])).toBeCloseTo(diameterMm / 2, 9);
        if (i < 2) return;
        expect(at[2]).toBeCloseTo(stones[i - 2].at[2], 9);
        expect(theta - stones[i - 1].theta).toBeCloseTo(stones[i - 1].theta - stones[i - 2].theta, 6);
      });
    },
  );

  it('keep the gap across too: nearer lines have wider pitches', async () => {
    const near = (await plannedShape(staggered(0.8, third, { style: 'none' }), kernel)).fits[0];
    const far = (await plannedShape(staggered(1.2, third, { style: 'none' }), kernel)).fits[0];
    expect(near.gapMm).toBeGreaterThanOrEqual(0.12 - 1e-9);
    expect(near.pitchMm!).toBeGreaterThan(far.pitchMm!);
    // the diagonal of half a pitch and the distance is at least stone and gap
    expect(Math.hypot(near.pitchMm! / 2, 0.8)).toBeCloseTo(1.1 + 0.12, 2);
  });
});

/** Lines of circles packed closest: the height of an equilateral triangle whose sides are stone and gap. */
const CLOSEST = (Math.sqrt(3) / 2) * (1.1 + 0.15) + 1e-4;

describe('several lines under shared grains', () => {
  const lines = (
    count: number,
    apartMm = CLOSEST,
    setting: RowDesign['setting'] = { ...grain, grainMm: 0.42, grains: 'shared' },
  ) =>
    band(
      {
        diameterMm: 1.1,
        setDepthMm: 0.15,
        leastGapMm: 0.15,
        coverage: { kind: 'arc', angleRad: 1 },
        stagger: { apartMm, lines: count },
        setting,
      },
      { widthMm: 6.5, chordToleranceMm: 0.05 },
    );

  it.each([3, 4])(
    '%i lines are packed as closely as circles can be, in one manifold that holds every stone',
    async (count) => {
      const design = lines(count);
      const shape = await buildShape(design, kernel);
      const stones = stonesInOrder(shape);
      expectSoundSet(kernel, shape, 0, 1 + stones.length);
      expect(shape.checks.filter(({ severity, passed }) => severity === 'error' && !passed)).toEqual([]);
      // chords of stone and gap over the arc, on a flat band; every other line has a stone less
      const r = design.circumferenceMm / (2 * Math.PI) + 2.2 - 0.15;
      const span = 1 - 2 * Math.asin(0.55 / r);
      const most = 1 + Math.floor(span / (2 * Math.asin(1.25 / 2 / r)) + 1e-6);
      const across = new Map<string, number>();
      for (const { at } of stones) across.set(at[2].toFixed(6), (across.get(at[2].toFixed(6)) ?? 0) + 1);
      expect(across.size).toBe(count);
      const inLines = Array.from({ length: count }, (_, k) => most - (k % 2));
      expect([...across.values()].sort()).toEqual(inLines.sort());
      expect(shape.fits[0].gapMm).toBeCloseTo(0.15, 3);
      // one line's stone less everywhere
      expect(shape.fits[0].fewer?.count).toBe(stones.length - count);
    },
  );

  it('too near to each other get wider pitches, with the same gap', async () => {
    const [near, close] = await Promise.all(
      [0.95, CLOSEST].map(
        async (apart) => (await plannedShape(lines(3, apart, { style: 'none' }), kernel)).fits[0],
      ),
    );
    expect(near.count).toBeLessThanOrEqual(close.count);
    expect(near.gapMm!).toBeGreaterThanOrEqual(0.15 - 1e-6);
    expect(near.pitchMm!).toBeGreaterThan(close.pitchMm! + 0.05);
  });
});

describe('two open lines with a stone more or fewer in each', () => {
  it('leave the gap of an even spread over their part: the nearer of along and across, on a flat band', async () => {
    const [d, apart, depth, thickness] = [1.1, 1, 0.15, 2];
    const design = band(
      {
        diameterMm: d,
        setDepthMm: depth,
        coverage: third,
        stagger: { apartMm: apart },
        setting: { style: 'none' },
      },
      { widthMm: 5, thicknessMm: thickness },
    );
    const { fits, rows } = await plannedShape(design, kernel);
    const [fit] = fits;
    const r = design.circumferenceMm / (2 * Math.PI) + thickness - depth;
    const span = third.angleRad - 2 * Math.asin(d / 2 / r);
    const gap = (first: number) => {
      const step = span / (first - 1);
      return Math.min(2 * r * Math.sin(step / 2), Math.hypot(2 * r * Math.sin(step / 4), apart)) - d;
    };
    const first = (rows[0].count + 1) / 2;
    expect(fit.count).toBe(2 * first - 1);
    expect(fit.fewer).toMatchObject({ count: 2 * first - 3, fits: true });
    expect(fit.fewer!.gapMm).toBeCloseTo(gap(first - 1), 4);
    expect(fit.more).toMatchObject({ count: 2 * first + 1, fits: false });
    expect(fit.more!.gapMm).toBeCloseTo(gap(first + 1), 4);
    // as many as there are would fill their part with no less than they keep
    expect(gap(first)).toBeGreaterThanOrEqual(fit.gapMm! - 1e-9);
  });
});

describe('holes that end at a floor', () => {
  it('leave the floor and no hole through the band: genus 1', async () => {
    const open = await buildShape(band({ setting: claws }), kernel);
    const floored = await buildShape(band({ setting: claws, floorMm: 0.4 }), kernel);
    expectSoundSet(kernel, floored, 0, 1);
    const { count } = floored.rows[0];
    const more = (floored.lanes[0].volumeMm3 - open.lanes[0].volumeMm3) / count;
    // each floor is the hole's circle, 0.4 mm thick in the middle and a little thicker at its rim
    expect(more).toBeGreaterThan(Math.PI * 0.375 ** 2 * 0.4 * 0.97);
    expect(more).toBeLessThan(Math.PI * 0.375 ** 2 * 0.4 * 1.05);
    const floor = floored.checks.find(({ rule }) => rule === 'metal-under-seat');
    expect(floor).toMatchObject({ passed: true, measured: '0.40 mm' });
  });

  it('are refused where a culet would reach into it', async () => {
    const error = await buildShape(band({ setting: claws, floorMm: 1.6 }), kernel).catch((e: unknown) => e);
    expect(error).toBeInstanceOf(ProblemError);
    expect((error as ProblemError).problems.map((p) => p.code)).toContain('row-too-deep');
  });
});

it('claws that lean reach farther over their stones, once their caps stand above the girdle', async () => {
  const bite = async (leanRad: number) => {
    const tall = { style: 'shared-claws', clawDiameterMm: 0.6, clawHeightMm: 0.42, leanRad } as const;
    const shape = await buildShape(band({ diameterMm: 2.6, setDepthMm: 0.05, setting: tall }), kernel);
    expectSoundSet(kernel, shape, 0, 1 + shape.rows[0].count);
    return Number.parseFloat(shape.checks.find(({ rule }) => rule === 'claw-bite')!.measured);
  };
  // the tip stands 0.42 above the metal and some 0.1 above the girdle, of which the bend takes most: at most 0.42 · sin 0.2
  const more = (await bite(0.2)) - (await bite(0));
  expect(more).toBeGreaterThan(0.001);
  expect(more).toBeLessThan(0.084);
});
