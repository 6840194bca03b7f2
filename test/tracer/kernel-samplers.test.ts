import { beforeAll, describe, expect, it } from 'vitest';
import type { RectLight, Vec3 } from '../../pipeline/scene/trace-scene.ts';
import type { KernelHost } from '../../pipeline/tracer/kernel-host.ts';
import { bareScene, chiSquared, cross, kernel, lightTowards, minus, unit } from './kernel-fixture.ts';

let host: KernelHost;
beforeAll(async () => {
  host = await kernel();
});

describe('stratified pairs', () => {
  it('every power-of-two block of samples puts one point in each elementary interval (Sobol (0,2)-sequence)', () => {
    host.load(bareScene({}));
    const { at, values } = host.scratch(512);
    for (const [pair, seed] of [
      [0, 1],
      [3, 1],
      [17, 99],
    ]) {
      host.kernel.probePairs(seed, pair, 256, at);
      for (let from = 0; from < 256; from += 64) {
        for (let k = 0; k <= 6; k++) {
          const cells = new Set<number>();
          for (let i = from; i < from + 64; i++) {
            cells.add(Math.floor(values[2 * i] * 2 ** k) * 64 + Math.floor(values[2 * i + 1] * 2 ** (6 - k)));
          }
          expect(cells.size).toBe(64);
        }
      }
    }
  });

  it('pairs and seeds are independent of each other: correlation within 4 standard errors', () => {
    host.load(bareScene({}));
    const { at, values } = host.scratch(4096);
    const draws = [0, 1, 2, 5].map((pair) => {
      host.kernel.probePairs(3, pair, 2048, at);
      return values.slice();
    });
    for (let a = 0; a < draws.length; a++) {
      for (let b = 0; b < a; b++) {
        let sum = 0;
        for (let i = 0; i < 2048; i++) sum += (draws[a][2 * i] - 0.5) * (draws[b][2 * i] - 0.5) * 12;
        expect(Math.abs(sum / 2048)).toBeLessThan(4 / Math.sqrt(2048));
      }
    }
  });
});

describe('GGX lobe', () => {
  const rows = 12;
  const columns = 16;

  for (const [name, theta, phi, ax, ay] of [
    ['rough, normal view', 0.05, 0, 0.5, 0.5],
    ['satin, oblique', 0.9, 0.7, 0.25, 0.25],
    ['satin, grazing', 1.4, 2.1, 0.3, 0.3],
    ['brushed, oblique', 0.8, 0.5, 0.12, 0.45],
    ['brushed the other way, grazing', 1.3, 2.5, 0.6, 0.15],
  ] as const) {
    it(`${name}: directions follow their density (χ²)`, () => {
      host.load(bareScene({}));
      const w: Vec3 = [Math.sin(theta) * Math.cos(phi), Math.sin(theta) * Math.sin(phi), Math.cos(theta)];
      const batch = 8000;
      const batches = 25;
      const counts = new Array<number>(rows * columns + 1).fill(0);
      const { at, values } = host.scratch(batch * 3);
      for (let b = 0; b < batches; b++) {
        host.kernel.probeLobe(...w, ax, ay, 1000 + b, batch, at);
        for (let i = 0; i < batch; i++) {
          const z = values[3 * i + 2];
          const turn = Math.atan2(values[3 * i + 1], values[3 * i]) / (2 * Math.PI) + 0.5;
          const cell =
            Math.min(rows - 1, Math.floor(z * rows)) * columns +
            Math.min(columns - 1, Math.floor(turn * columns));
          counts[z > 0 ? cell : rows * columns]++;
        }
      }
      // midpoint quadrature of the density over each cell: area elements dz dφ
      const fine = 24;
      const expected = new Array<number>(rows * columns + 1).fill(0);
      let total = 0;
      for (let r = 0; r < rows; r++) {
        for (let c = 0; c < columns; c++) {
          let sum = 0;
          for (let j = 0; j < fine; j++) {
            const z = (r + (j + 0.5) / fine) / rows;
            const s = Math.sqrt(1 - z * z);
            for (let i = 0; i < fine; i++) {
              const turn = ((c + (i + 0.5) / fine) / columns - 0.5) * 2 * Math.PI;
              sum += host.kernel.probeLobePdf(...w, ax, ay, s * Math.cos(turn), s * Math.sin(turn), z);
            }
          }
          const share = (sum * 2 * Math.PI) / (rows * columns * fine * fine);
          expected[r * columns + c] = share * batch * batches;
          total += share;
        }
      }
      // what is missing lies below the horizon
      expected[rows * columns] = Math.max(0, 1 - total) * batch * batches;
      expect(chiSquared(counts, expected)).toBeLessThan(4);
    });
  }

  it('is reciprocal: swapping the directions changes nothing (Helmholtz)', () => {
    const a: Vec3 = unit([0.3, 0.2, 0.9]);
    const b: Vec3 = unit([-0.6, 0.4, 0.3]);
    for (const [ax, ay] of [
      [0.3, 0.3],
      [0.1, 0.5],
    ]) {
      const there = host.kernel.probeLobeValue(...a, ax, ay, ...b);
      const back = host.kernel.probeLobeValue(...b, ax, ay, ...a);
      expect(Math.abs(there / back - 1)).toBeLessThan(1e-5);
    }
  });
});

describe('light samples', () => {
  /** Solid angle of a rectangle from the origin: the signed sum of atan(xy / (z r)) over its corners. */
  function solidAngle(x0: number, x1: number, y0: number, y1: number, z: number): number {
    const corner = (x: number, y: number): number => Math.atan((x * y) / (z * Math.hypot(x, y, z)));
    return corner(x1, y1) - corner(x0, y1) - corner(x1, y0) + corner(x0, y0);
  }

  for (const [name, lights, point] of [
    [
      'three softboxes around',
      [
        lightTowards([0, 150, 0], [0, 0, 0], 60, 40, 4),
        lightTowards([-120, 60, 40], [0, 0, 0], 30, 50, 6),
        lightTowards([80, 70, 90], [0, 0, 0], 20, 60, 2),
      ],
      [3, 1, 2],
    ],
    ['one close by', [lightTowards([0, 12, 3], [0, 0, 0], 20, 10, 1)], [6, 0.5, -4]],
    ['one far and small, sampled by area', [lightTowards([300, 500, 200], [0, 0, 0], 10, 6, 9)], [0, 0, 0]],
  ] as [string, RectLight[], Vec3][]) {
    it(`${name}: uniform in solid angle, and the stated density is the true one (χ²)`, () => {
      host.load(bareScene({ lights }));
      const side = 6;
      const batch = 4000;
      const batches = 20;
      const { at, values } = host.scratch(batch * 5);
      const counts = new Array<number>(lights.length * side * side).fill(0);
      const density = lights.map(() => 0);
      let misses = 0;
      let disagreement = 0;
      for (let b = 0; b < batches; b++) {
        host.kernel.probeLights(...point, 50 + b, batch, at);
        for (let i = 0; i < batch; i++) {
          const [dx, dy, dz, pdf, again] = values.subarray(5 * i, 5 * i + 5);
          if (pdf === 0) {
            misses++;
            continue;
          }
          disagreement = Math.max(disagreement, Math.abs(pdf / again - 1));
          const l = lights.findIndex((light) => place(light, point, [dx, dy, dz]) !== undefined);
          const [a, c] = place(lights[l], point, [dx, dy, dz]) ?? [0, 0];
          density[l] = pdf;
          const column = Math.min(side - 1, Math.floor(((a + 1) / 2) * side));
          const row = Math.min(side - 1, Math.floor(((c + 1) / 2) * side));
          counts[(l * side + row) * side + column]++;
        }
      }
      expect(misses).toBe(0);
      expect(disagreement).toBeLessThan(2e-3);
      const expected = counts.map((_, k) => {
        const light = lights[Math.floor(k / (side * side))];
        const column = k % side;
        const row = Math.floor(k / side) % side;
        const lu = Math.hypot(...light.u);
        const lv = Math.hypot(...light.v);
        const c = minus(light.centre, point);
        const n = unit(cross(light.u, light.v));
        const x = dot(c, light.u) / lu;
        const y = dot(c, light.v) / lv;
        const z = Math.abs(dot(c, n));
        const at = (i: number, half: number): number => ((2 * i) / side - 1) * half;
        const omega = solidAngle(
          x + at(column, lu),
          x + at(column + 1, lu),
          y + at(row, lv),
          y + at(row + 1, lv),
          z,
        );
        return omega * density[Math.floor(k / (side * side))] * batch * batches;
      });
      // the stated density integrates to one over all lights
      expect(Math.abs(expected.reduce((a, b) => a + b, 0) / (batch * batches) - 1)).toBeLessThan(5e-3);
      expect(chiSquared(counts, expected)).toBeLessThan(4);
    });
  }

  function dot(a: Vec3, b: Vec3): number {
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
  }

  /** Where a direction from a point meets the light, in its [−1, 1]². */
  function place(light: RectLight, point: Vec3, d: Vec3): [number, number] | undefined {
    const n = unit(cross(light.u, light.v));
    const t = dot(n, minus(light.centre, point)) / dot(n, d);
    const on = minus([point[0] + t * d[0], point[1] + t * d[1], point[2] + t * d[2]], light.centre);
    const a = dot(on, light.u) / dot(light.u, light.u);
    const b = dot(on, light.v) / dot(light.v, light.v);
    return t > 0 && Math.abs(a) <= 1.001 && Math.abs(b) <= 1.001 ? [a, b] : undefined;
  }
});
