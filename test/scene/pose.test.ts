import { Vector3 } from 'three';
import { describe, expect, it } from 'vitest';
import { forEachVertex, placeBand } from '../../pipeline/scene/pose.ts';
import { composeShot, leastSeparation } from '../../pipeline/scene/view.ts';
import { torusShape } from './torus-shape.ts';

const shape = torusShape(17, 1.2);

describe('placeBand', () => {
  // closed form: a standing torus is 2 (R + t) high, a lying one 2 t; both touch y = 0
  it.each([
    ['standing', 17 + 4 * 1.2],
    ['lying', 2 * 1.2],
  ] as const)('rests a %s band on the ground', (rest, height) => {
    const band = placeBand(shape, { rest, yaw: 0.7, roll: 0.3, x: 3, z: -2 });
    let low = Number.POSITIVE_INFINITY;
    let high = Number.NEGATIVE_INFINITY;
    forEachVertex(band, (p) => {
      low = Math.min(low, p.y);
      high = Math.max(high, p.y);
    });
    expect(low).toBeCloseTo(0, 5);
    expect(high).toBeCloseTo(height, 1);
  });

  it('is rigid: the transform has determinant +1', () => {
    for (const rest of ['standing', 'lying'] as const)
      expect(placeBand(shape, { rest, yaw: 1, roll: 2, x: 0, z: 0 }).toWorld.determinant()).toBeCloseTo(1, 9);
  });
});

describe('pairs', () => {
  it('separates two footprints exactly: closed form for parallel rectangles', () => {
    const p = { a: 10, b: 2, yaw: 0 };
    // along x two parallel rectangles clear at the sum of half-lengths, along z at the sum of half-widths
    expect(leastSeparation(p, p, 1, 0, 1)).toBeCloseTo(21, 9);
    expect(leastSeparation(p, p, 0, 1, 1)).toBeCloseTo(5, 9);
    // turned by 90° they meet at half-length + half-width
    expect(leastSeparation(p, { ...p, yaw: Math.PI / 2 }, 1, 0, 0)).toBeCloseTo(12, 9);
  });

  it.each([
    [16, 21],
    [21, 16],
  ])(
    'stacks them edge on edge, the larger below, a hair apart and flush at the top: bores %d and %d',
    (a, b) => {
      const shapes = [torusShape(a, 1), torusShape(b, 1.5)];
      const {
        bands: [first, other],
      } = composeShot('pair', shapes, 0, true);
      const bands = a > b ? [first, other] : [other, first];
      const [lower, upper] = bands.map((b) => {
        const points: number[][] = [];
        forEachVertex(b, (p) => points.push([p.x, p.y, p.z]));
        return points;
      });
      const least = (points: number[][], k: number) => Math.min(...points.map((p) => p[k]));
      const most = (points: number[][], k: number) => Math.max(...points.map((p) => p[k]));
      expect(least(lower, 1)).toBeCloseTo(0, 6);
      expect(least(upper, 1) - most(lower, 1)).toBeGreaterThan(0);
      expect(least(upper, 1) - most(lower, 1)).toBeLessThan(0.02);
      // θ = 0 of a lying band is band (0, r, 0): both outsides end in one upright line there
      const top = bands.map(({ toWorld, shape }) =>
        new Vector3(0, shape.innerDiameterMm / 2 + shape.thicknessMm, 0).applyMatrix4(toWorld),
      );
      expect(top[1].x).toBeCloseTo(top[0].x, 9);
      expect(top[1].z).toBeCloseTo(top[0].z, 9);
    },
  );

  it('never lets two bands touch', () => {
    const { bands } = composeShot('pair', [torusShape(16, 1), torusShape(21, 1.5)]);
    const points = bands.map((b) => {
      const all: number[][] = [];
      forEachVertex(b, (p) => all.push([p.x, p.y, p.z]));
      return all;
    });
    let least = Number.POSITIVE_INFINITY;
    for (const a of points[0].filter((_, i) => i % 7 === 0))
      for (const b of points[1].filter((_, i) => i % 7 === 0))
        least = Math.min(least, Math.hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2]));
    expect(least).toBeGreaterThan(1);
  });
});
