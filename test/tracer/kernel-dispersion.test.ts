/**
 * What the kernel makes of wavelengths, against transport of one wavelength at a time: films of stones whose index is
 * fixed, weighed by what each wavelength gives red, green and blue. That is a quadrature over the spectrum which knows of
 * no choice of wavelengths at all.
 */
import { beforeAll, describe, expect, it } from 'vitest';
import type { TraceScene } from '../../pipeline/scene/trace-scene.ts';
import type { KernelHost } from '../../pipeline/tracer/kernel-host.ts';
import { waveTable } from '../../pipeline/tracer/spectrum.ts';
import {
  bareScene,
  brilliantPlanes,
  film,
  kernel,
  lightTowards,
  radians,
  stoneAt,
  turned,
} from './kernel-fixture.ts';

const WAVELENGTHS = 12;
const SIDE = 28;
/** diamond (Cauchy through 2.4175 at 589.3 nm, dispersion B to G 0.044) */
const [A, B] = [2.3818, 0.0121];

let host: KernelHost;
beforeAll(async () => {
  host = await kernel();
});

/** A brilliant on white ground before a lamp behind and a dark sky, from above. */
function scene(cauchyA: number, cauchyB: number): TraceScene {
  return bareScene({
    cuts: [brilliantPlanes(4)],
    stones: [stoneAt([0, 2.2, 0], turned(radians(-90), 0))],
    gems: [{ cauchyA, cauchyB }],
    colourways: [{ metals: [], gems: [{ absorption: [0, 0, 0] }] }],
    lights: [lightTowards([0, 12, -20], [0, 1, 0], 6, 3, 2), lightTowards([16, 20, 6], [0, 1, 0], 2, 4, 2)],
    dome: new Float32Array([0.05, 0.05, 0.05, 0.2, 0.2, 0.2]),
    ground: { kind: 'white', albedo: [0.8, 0.8, 0.8], level: 1 },
    camera: {
      eye: [0, 24, 26],
      target: [0, 1, 0],
      up: [0, 1, 0],
      fovY: 0.22,
      lensRadius: 0,
      focusDistance: 30,
    },
    width: SIDE,
    height: SIDE,
  });
}

/** Which pixels show the stone: those whose centre and corners do. */
function stonePixels(): boolean[] {
  host.load(scene(A, B));
  const rays = new Float32Array(SIDE * SIDE * 6);
  const half = Math.tan(0.11);
  const length = Math.hypot(23, 26);
  const [fy, fz] = [-23 / length, -26 / length];
  for (let p = 0; p < SIDE * SIDE; p++) {
    const x = half * (((p % SIDE) + 0.5) / SIDE - 0.5) * 2;
    const y = half * (1 - ((Math.floor(p / SIDE) + 0.5) / SIDE) * 2);
    rays.set([0, 24, 26, x, fy - y * fz, fz + y * fy], p * 6);
  }
  const hit = Array.from(host.closest(rays).primitive, (h) => h !== 0xffffffff);
  return hit.map((_, p) => [0, 1, -1, SIDE, -SIDE].every((d) => hit[p + d] === true));
}

/** RGB, mean over the pixels. */
function mean(data: Float32Array, where: boolean[]): number[] {
  const sum = [0, 0, 0];
  let n = 0;
  where.forEach((inside, p) => {
    if (!inside) return;
    n++;
    for (let k = 0; k < 3; k++) sum[k] += data[3 * p + k];
  });
  return sum.map((s) => s / n);
}

describe('wavelengths', () => {
  it('the stone met first, three at a time, and the ground beneath, none, are as one at a time makes them', () => {
    const stone = stonePixels();
    const ground = stone.map(
      (inside, p) => !inside && [1, -1, SIDE, -SIDE].every((d) => stone[p + d] !== true),
    );
    const table = waveTable(WAVELENGTHS * 2);
    const seeds = [1, 2, 3, 4];
    const whole = seeds.map((seed) => film(host, scene(A, B), 96, seed)[0]);
    // middles of equal shares of the variate that picks
    const parts = seeds.map((seed) => {
      const sum = new Float32Array(SIDE * SIDE * 3);
      for (let w = 0; w < WAVELENGTHS; w++) {
        const [r, g, b, micron] = table.subarray(4 * (2 * w + 1), 4 * (2 * w + 1) + 4);
        const one = film(host, scene(A + B / micron ** 2, 0), 8, seed + 100 * w + 10)[0];
        const weights = [r, g, b];
        for (let i = 0; i < sum.length; i++) sum[i] += (one[i] * weights[i % 3]) / WAVELENGTHS;
      }
      return sum;
    });
    const weight = mean(
      parts[0].map((_, i) => {
        let s = 0;
        for (let w = 0; w < WAVELENGTHS; w++) s += table[4 * (2 * w + 1) + (i % 3)] / WAVELENGTHS;
        return s;
      }),
      stone,
    );
    for (const where of [stone, ground]) {
      const a = whole.map((f) => mean(f, where));
      const b = parts.map((f) => mean(f, where));
      for (let k = 0; k < 3; k++) {
        const [ma, ea] = meanAndError(a.map((v) => v[k]));
        const [mb, eb] = meanAndError(b.map((v) => v[k] / weight[k]));
        const error = Math.hypot(ea, eb) / ma;
        // below what a wrong weight or a stone entered twice would change
        expect(error).toBeLessThan(0.01);
        expect(Math.abs(mb / ma - 1)).toBeLessThan(0.003 + 3 * error);
      }
    }
  });
});

function meanAndError(values: number[]): [number, number] {
  const m = values.reduce((s, v) => s + v, 0) / values.length;
  const variance = values.reduce((s, v) => s + (v - m) ** 2, 0) / (values.length - 1);
  return [m, Math.sqrt(variance / values.length)];
}
