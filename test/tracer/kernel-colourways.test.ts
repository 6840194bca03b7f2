import { beforeAll, expect, it } from 'vitest';
import type { Colourway, TraceScene } from '../../pipeline/scene/trace-scene.ts';
import type { KernelHost } from '../../pipeline/tracer/kernel-host.ts';
import {
  bandMesh,
  bareScene,
  brilliantPlanes,
  film,
  kernel,
  lightTowards,
  meanOf,
  stoneAt,
} from './kernel-fixture.ts';

let host: KernelHost;
beforeAll(async () => {
  host = await kernel();
});

const gold: Colourway = {
  metals: [{ f0: [0.96, 0.7, 0.3], f82: [0.98, 0.9, 0.7] }],
  gems: [{ absorption: [0.1, 1.2, 0.9] }],
};
const platinum: Colourway = {
  metals: [{ f0: [0.7, 0.67, 0.63], f82: [0.85, 0.84, 0.82] }],
  gems: [{ absorption: [0, 0, 0] }],
};
const black: Colourway = {
  metals: [{ f0: [0.1, 0.1, 0.12], f82: [0.4, 0.4, 0.4] }],
  gems: [{ absorption: [30, 30, 30] }],
};

/** Band, two stones above it, three lights with a card, white ground: every kind of event happens. */
function scene(colourways: Colourway[], alpha: number): TraceScene {
  return bareScene({
    mesh: bandMesh(9.5, 1.1, 2.4, 10.6, 96, 24),
    surfaces: [{ alphaX: alpha, alphaY: alpha * 2, metal: 0, axis: [0, 0, 1] }],
    cuts: [brilliantPlanes(3)],
    stones: [stoneAt([0, 23.5, 0], [1, 0, 0, 0, 0, 1, 0, -1, 0]), stoneAt([8, 1.6, 8])],
    gems: [{ cauchyA: 2.3818, cauchyB: 0.0121 }],
    lights: [
      lightTowards([0, 200, 0], [0, 0, 0], 90, 60, 4, 0.3),
      lightTowards([-180, 90, 60], [0, 8, 0], 40, 80, 6),
      lightTowards([60, 40, 60], [0, 8, 0], 20, 20, 0),
    ],
    dome: new Float32Array([0.2, 0.2, 0.2, 0.3, 0.3, 0.3, 0.5, 0.5, 0.6]),
    ground: { kind: 'white', albedo: [0.8, 0.8, 0.8], level: 1 },
    camera: {
      eye: [38, 34, 75],
      target: [0, 11, 0],
      up: [0, 1, 0],
      fovY: 0.36,
      lensRadius: 0.4,
      focusDistance: 90,
    },
    colourways,
    width: 40,
    height: 40,
  });
}

for (const alpha of [0.003, 0.15]) {
  it(`colourways sharing paths equal each traced alone, same seed (α = ${alpha})`, () => {
    const all = [gold, platinum, black];
    const together = film(host, scene(all, alpha), 16);
    all.forEach((colourway, c) => {
      const [alone] = film(host, scene([colourway], alpha), 16);
      let worst = 0;
      alone.forEach((v, i) => {
        worst = Math.max(worst, Math.abs(v - together[c][i]) / Math.max(Math.abs(v), 0.01));
      });
      expect(worst).toBeLessThan(1e-4);
    });
    // and they are not the same picture
    expect(Math.abs(meanOf(together[0]) - meanOf(together[2]))).toBeGreaterThan(0.01);
  });
}

it('a pixel has the same bits whatever rectangle it is asked in', () => {
  const s = scene([gold, black], 0.15);
  host.load(s);
  const n = 40 * 40 * 3;
  const whole = new Float32Array(n * 2);
  expect(host.render(0, 0, 40, 40, 0, 8, 5, whole)).toBe(40 * 40 * 8);
  const pieced = new Float32Array(n * 2);
  for (const [x, y, w, h] of [
    [0, 0, 13, 40],
    [13, 0, 27, 7],
    [13, 7, 20, 33],
    [33, 7, 7, 33],
  ]) {
    const part = new Float32Array(w * h * 3 * 2);
    host.render(x, y, w, h, 0, 8, 5, part);
    for (let c = 0; c < 2; c++) {
      for (let j = 0; j < h; j++) {
        pieced.set(
          part.subarray((c * h + j) * w * 3, (c * h + j + 1) * w * 3),
          c * n + ((y + j) * 40 + x) * 3,
        );
      }
    }
  }
  expect(Buffer.from(pieced.buffer).equals(Buffer.from(whole.buffer))).toBe(true);
  // another seed gives other bits: the comparison can fail
  host.render(0, 0, 40, 40, 0, 8, 6, pieced);
  expect(Buffer.from(pieced.buffer).equals(Buffer.from(whole.buffer))).toBe(false);
});

it('a second instance loaded with the same scene gives the same bits', async () => {
  const other = await kernel();
  const s = scene([gold], 0.003);
  host.load(scene([black], 0.3));
  const [a] = film(host, s, 4);
  const [b] = film(other, s, 4);
  expect(Buffer.from(a.buffer).equals(Buffer.from(b.buffer))).toBe(true);
});

it('refuses a buffer of the wrong size and scenes with indices out of range', () => {
  const s = scene([gold], 0.003);
  host.load(s);
  expect(() => host.render(0, 0, 4, 4, 0, 1, 1, new Float32Array(3))).toThrow(RangeError);
  expect(() => host.load({ ...s, surfaces: [{ ...s.surfaces[0], metal: 3 }] })).toThrow(RangeError);
  expect(() => host.load({ ...s, colourways: [] })).toThrow(RangeError);
});
