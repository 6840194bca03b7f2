import { beforeAll, describe, expect, it } from 'vitest';
import type { Camera, Colourway, TraceScene, Vec3 } from '../../pipeline/scene/trace-scene.ts';
import type { KernelHost } from '../../pipeline/tracer/kernel-host.ts';
import { filmPlanes, partPlanes } from '../../pipeline/tracer/matte.ts';
import { createNodeTracer } from '../../pipeline/tracer/node-tracer.ts';
import { bareScene, kernel, lightTowards, meanOf, quadMesh, sphereMesh } from './kernel-fixture.ts';

let host: KernelHost;
beforeAll(async () => {
  host = await kernel();
});

const metal = (f: Vec3): Colourway => ({ metals: [{ f0: f, f82: f }], gems: [] });
const surfaces = [{ alphaX: 0.001, alphaY: 0.001, metal: 0, axis: [0, 0, 1] as Vec3 }];
const LEVEL = 1.3;

function scene(kind: 'white' | 'clear', parts: Partial<TraceScene>): TraceScene {
  const camera: Camera = {
    eye: [0, 40, 60],
    target: [0, 3, 0],
    up: [0, 1, 0],
    fovY: 0.5,
    lensRadius: 0,
    focusDistance: 70,
  };
  return bareScene({
    ground: { kind, albedo: [0.8, 0.8, 0.8], level: LEVEL },
    dome: new Float32Array([0.3, 0.3, 0.3]),
    lights: [lightTowards([-90, 150, 40], [0, 0, 0], 60, 60, 4, 0.3)],
    surfaces,
    colourways: [metal([0.9, 0.6, 0.3]), metal([0, 0, 0])],
    mesh: sphereMesh(5, [0, 5, 0], 64),
    camera,
    width: 32,
    height: 32,
    ...parts,
  });
}

/** Means of every plane. */
function planes(s: TraceScene, samples: number): Float32Array[] {
  host.load(s);
  const n = s.width * s.height * 3;
  const rgb = new Float32Array(n * filmPlanes(s));
  host.render(0, 0, s.width, s.height, 0, samples, 1, rgb);
  return Array.from({ length: filmPlanes(s) }, (_, c) =>
    rgb.subarray(c * n, (c + 1) * n).map((v) => v / samples),
  );
}

describe('clear ground', () => {
  it('gives the films of white ground, bit for bit, and one plane more', () => {
    const white = planes(scene('white', {}), 64);
    const clear = planes(scene('clear', {}), 64);
    expect([white.length, clear.length]).toEqual([2, 3]);
    for (let c = 0; c < 2; c++) expect(clear[c]).toEqual(white[c]);
  });

  it('covers what the ball hides and nothing else: open ground shows through whole', () => {
    const [, , matte] = planes(scene('clear', {}), 64);
    const at = (x: number, y: number) => [...matte.subarray(3 * (y * 32 + x), 3 * (y * 32 + x) + 3)];
    for (const [x, y] of [
      [0, 0],
      [31, 2],
    ]) {
      const [coverage, through] = at(x, y);
      expect(coverage).toBe(0);
      // 40 mm from a ball of 5 mm: the shadow is under a half step of 8 bits
      expect(Math.abs(through - 1)).toBeLessThan(0.002);
    }
    const [coverage, through] = at(16, 15);
    expect([coverage, through]).toEqual([1, 0]);
  });

  it('what shows through is the whole film where a black body gives nothing back but its grazing reflection', () => {
    const [, black, matte] = planes(scene('clear', {}), 256);
    // grey light on grey ground: the film of the black ball is level times what shows through, pixel by pixel, and
    // what Fresnel's law reflects at grazing angles even off black
    let most = 0;
    for (let i = 0; i < matte.length; i += 3) {
      const own = black[i] - LEVEL * matte[i + 1];
      expect(own).toBeGreaterThan(-1e-4);
      if (matte[i] === 0) most = Math.max(most, own);
    }
    expect(most).toBeLessThan(0.02);
  });

  it('the gleam of a bright body lies in its film alone: film less ground is nowhere below nothing', () => {
    const [gold, , matte] = planes(scene('clear', {}), 1024);
    let gleam = 0;
    for (let i = 0; i < matte.length; i += 3) {
      for (let k = 0; k < 3; k++) expect(gold[i + k] - LEVEL * matte[i + 1]).toBeGreaterThan(-1e-4);
      if (matte[i] === 0) gleam = Math.max(gleam, gold[i] - LEVEL * matte[i + 1]);
    }
    expect(gleam).toBeGreaterThan(0.01);
  });

  it('loses the form factor of a black plate (Howell B-3)', () => {
    const mesh = quadMesh([-15, 20, -10], [30, 0, 0], [0, 0, 20]);
    const camera: Camera = { ...scene('clear', {}).camera, eye: [0, 10, 10], target: [0, 0, 0], fovY: 0.002 };
    const s = scene('clear', {
      mesh,
      camera,
      lights: [],
      dome: new Float32Array([1, 1, 1]),
      width: 8,
      height: 8,
    });
    const [, , matte] = planes(s, 1024);
    const corner = (x: number, y: number) => {
      const p = Math.hypot(1, x);
      const q = Math.hypot(1, y);
      return 0.5 * ((x / p) * Math.atan(y / p) + (y / q) * Math.atan(x / q));
    };
    const expected = 1 - (4 * corner(15 / 20, 10 / 20)) / Math.PI;
    const through = meanOf(matte.filter((_, i) => i % 3 === 1));
    expect(Math.abs(through - expected)).toBeLessThan(0.004);
  });

  it('comes out of a tracer as a matte beside the films', async () => {
    const tracer = createNodeTracer([host]);
    const result = await tracer.trace(scene('clear', {}), { seed: 1, noiseTarget: 0.2, passCap: 8 });
    expect(result.films).toHaveLength(2);
    expect(result.matte?.data).toHaveLength(32 * 32 * 3);
    expect(
      (await tracer.trace(scene('white', {}), { seed: 1, noiseTarget: 0.2, passCap: 8 })).matte,
    ).toBeUndefined();
    expect(partPlanes(result.films, 2)).toEqual({ films: result.films });
  });
});
