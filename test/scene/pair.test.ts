import { Vector3 } from 'three';
import { describe, expect, it } from 'vitest';
import type { BuiltShape } from '../../pipeline/band/built-shape.ts';
import type { SectionDesign, SectionName, ShapeDesign } from '../../pipeline/plan/design.ts';
import { forEachVertex, type PlacedBand } from '../../pipeline/scene/pose.ts';
import { composeShot } from '../../pipeline/scene/view.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { bandDesign } from '../band/designs.ts';
import { Heights } from './heights.ts';

const edges = { domeMm: 0, comfortMm: 0, edgeMm: 0.15, boreEdgeMm: 0.15 };
const SECTIONS: Record<SectionName, SectionDesign> = {
  flat: { name: 'flat', ...edges },
  d: { name: 'd', ...edges, domeMm: 0.4 },
  court: { name: 'court', ...edges, domeMm: 0.4, comfortMm: 0.15 },
  'flat-court': { name: 'flat-court', ...edges, comfortMm: 0.2 },
  concave: { name: 'concave', ...edges, domeMm: 0.2 },
  bevelled: {
    name: 'bevelled',
    ...edges,
    bevel: { lowMm: 0.4, highMm: 0.4, lowRad: 0.7, highRad: 0.7, roundMm: 0.1 },
  },
  'knife-edge': { name: 'knife-edge', ...edges, ridge: { lowRad: 0.12, highRad: 0.12, roundMm: 0.2 } },
};

/** ISO 8653: the size is the circumference of the bore, mm. */
function band(size: number, change: Partial<ShapeDesign> = {}): Promise<BuiltShape> {
  return buildShape(
    bandDesign({
      circumferenceMm: size,
      thicknessMm: 1.8,
      section: SECTIONS.flat,
      chordToleranceMm: 0.05,
      ...change,
    }),
  );
}

function lowest({ bands }: { bands: PlacedBand[] }): number[] {
  return bands.map((b) => {
    let y = Number.POSITIVE_INFINITY;
    forEachVertex(b, (p) => {
      y = Math.min(y, p.y);
    });
    return y;
  });
}

type Way = 'stacked' | 'beside';

/** How a pair lies, after what holds of it was measured in its triangles. */
function measured(shapes: readonly BuiltShape[]): Way {
  const composition = composeShot('pair', shapes, 0, 'stacked');
  const heights = lowest(composition);
  expect(Math.min(...heights)).toBeCloseTo(0, 5);
  const onGround = heights.filter((y) => y < 0.005).length;
  if (onGround === 2) {
    expectApart(composition.bands);
    return 'beside';
  }
  const upper = composition.bands[heights[0] > heights[1] ? 0 : 1];
  const lower = composition.bands[heights[0] > heights[1] ? 1 : 0];
  expectCarried(upper, lower);
  return 'stacked';
}

/** No place of the ground is under both. */
function expectApart(bands: readonly PlacedBand[]): void {
  const [a, b] = bands.map((one) => new Heights(one, 1));
  expect(a.cells().filter(([i, j]) => b.at(i, j) !== undefined)).toEqual([]);
}

/** Statics of a body at rest: it touches what carries it round the line of its weight, and is sunk into it nowhere. */
function expectCarried(upper: PlacedBand, lower: PlacedBand): void {
  const [sole, top] = [new Heights(upper, -1), new Heights(lower, 1)];
  const weight = centreOfMass(upper);
  const gaps = sole.cells().flatMap(([i, j]) => {
    const there = top.at(i, j);
    const gap = sole.at(i, j)! - (there ?? 0);
    return there === undefined ? [] : [{ x: i * sole.cell - weight.x, z: j * sole.cell - weight.z, gap }];
  });
  const least = Math.min(...gaps.map((g) => g.gap));
  expect(least).toBeGreaterThan(0);
  expect(least).toBeLessThan(0.02);
  // the touching places lie all round the weight: from it they are seen with no gap of half a turn
  const round = gaps
    .filter((g) => g.gap < least + 0.03)
    .map((g) => Math.atan2(g.z, g.x))
    .sort((a, b) => a - b);
  const widest = Math.max(...round.map((a, i) => (round[i + 1] ?? round[0] + 2 * Math.PI) - a));
  expect(widest).toBeLessThan(Math.PI);
}

/** Mean of its triangles' tetrahedra, weighted by volume. */
function centreOfMass({ shape, toWorld }: PlacedBand): Vector3 {
  const sum = [0, 0, 0, 0];
  for (const { mesh } of shape.lanes) {
    const corner = (t: number, k: number) => [
      ...mesh.positions.subarray(3 * mesh.indices[t + k], 3 * mesh.indices[t + k] + 3),
    ];
    for (let t = 0; t < mesh.indices.length; t += 3) {
      const [a, b, c] = [corner(t, 0), corner(t, 1), corner(t, 2)];
      const v =
        a[0] * (b[1] * c[2] - b[2] * c[1]) +
        a[1] * (b[2] * c[0] - b[0] * c[2]) +
        a[2] * (b[0] * c[1] - b[1] * c[0]);
      for (let k = 0; k < 3; k++) sum[k] += (v * (a[k] + b[k] + c[k])) / 4;
      sum[3] += v;
    }
  }
  return new Vector3(sum[0] / sum[3], sum[1] / sum[3], sum[2] / sum[3]).applyMatrix4(toWorld);
}

const EXTREMES = [
  [76, 41],
  [41, 44],
  [62, 60],
] as const;

/** 6 mm of bore apart one band is inside the other whatever their sections. */
function expectBy(one: number, other: number, ways: readonly Way[]): void {
  if (Math.abs(one - other) > 20) expect(ways).toEqual(ways.map(() => 'beside'));
}

describe('a pair that lies', () => {
  it('does not stand a small band on one it would drop into: 19.7 mm outside on a bore of 20.8 mm', async () => {
    const small = await band((19.7 - 2 * 1.6) * Math.PI, { thicknessMm: 1.6 });
    const large = await band(20.8 * Math.PI, { thicknessMm: 1.6 });
    expect(measured([small, large])).toBe('beside');
    expect(measured([large, small])).toBe('beside');
  });

  // sharp flat bands flush at the top: the faces' circles (bore a, outside b of the lower; B of the upper, d further on)
  // cross behind the upper one's centre, or all round, while a² < B² + d² (two circles, closed form)
  it.each([
    [54, 54, 'stacked'],
    [60, 54, 'stacked'],
    [54, 60, 'stacked'],
    [64, 54, 'stacked'],
    [69, 54, 'beside'],
    [54, 70, 'beside'],
  ] as const)('lies as two circles say: sizes %d and %d are %s', async (one, other, way) => {
    const [a, B] = [Math.max(one, other), Math.min(one, other)].map((s) => s / (2 * Math.PI));
    const [outside, d] = [B + 1.6, a - B];
    expect(a ** 2 < outside ** 2 + d ** 2 ? 'stacked' : 'beside').toBe(way);
    const sharp = { section: bandDesign().section, thicknessMm: 1.6 };
    expect(measured([await band(one, sharp), await band(other, sharp)])).toBe(way);
  });

  it.each(Object.entries(SECTIONS))(
    '%s: holds from narrow to wide, from small to large',
    async (_, section) => {
      for (const [one, other] of EXTREMES) {
        const [wide, narrow] = [
          await band(one, { section, widthMm: 12, thicknessMm: 2.2 }),
          await band(other, { section: SECTIONS.flat, widthMm: 2 }),
        ];
        expectBy(one, other, [measured([wide, narrow]), measured([narrow, wide])]);
      }
      const same = await band(54, { section, widthMm: 5, thicknessMm: 2.2 });
      expect(measured([same, same])).toBe('stacked');
    },
  );

  it('holds tapered bands, which lean on each other', async () => {
    const taper = { widthMm: 3, thicknessMm: 1.5, seams: [] };
    for (const [one, other] of EXTREMES) {
      const tapered = await band(one, { widthMm: 6, taper });
      const even = await band(other, { widthMm: 4 });
      const also = await band(other, { widthMm: 5, taper: { ...taper, widthMm: 6, thicknessMm: 2.4 } });
      expectBy(one, other, [measured([tapered, even]), measured([even, tapered]), measured([tapered, also])]);
    }
  });

  it('stacks them flush at the top, the larger below', async () => {
    for (const [one, other] of [
      [54, 57],
      [57, 54],
    ]) {
      const { bands } = composeShot('pair', [await band(one), await band(other)], 0, 'stacked');
      const heights = lowest({ bands });
      expect(heights[one > other ? 0 : 1]).toBeCloseTo(0, 5);
      // θ = 0 of a lying band is band (0, r, 0): both outsides end in one upright line there
      const [p, q] = bands.map(({ toWorld, shape }) =>
        new Vector3(0, shape.innerDiameterMm / 2 + shape.thicknessMm, 0).applyMatrix4(toWorld),
      );
      expect(p.x).toBeCloseTo(q.x, 5);
      expect(p.z).toBeCloseTo(q.z, 5);
    }
  });
});
