import { beforeAll, describe, expect, it } from 'vitest';
import type { TraceScene } from '../../pipeline/scene/trace-scene.ts';
import type { KernelHost } from '../../pipeline/tracer/kernel-host.ts';
import { bareScene, film, kernel, quadMesh } from './kernel-fixture.ts';

let host: KernelHost;
beforeAll(async () => {
  host = await kernel();
});

const LENS = 2;
const FOCUS = 50;

/** A black half-plane x < 0 at this depth before a backdrop of 1. */
function edge(depth: number, lensRadius: number): TraceScene {
  return bareScene({
    mesh: quadMesh([-500, -500, -depth], [500, 0, 0], [0, 1000, 0]),
    surfaces: [{ alphaX: 0.001, alphaY: 0.001, metal: 0, axis: [0, 0, 1] }],
    colourways: [{ metals: [{ f0: [0, 0, 0], f82: [0, 0, 0] }], gems: [] }],
    ground: { kind: 'none', albedo: [0, 0, 0], level: 1 },
    // the 64 pixels span 8 mm at 75 mm, where the blur of an edge is 2 mm wide
    camera: {
      eye: [0, 0, 0],
      target: [0, 0, -1],
      up: [0, 1, 0],
      fovY: 2 * Math.atan(1 / 75),
      lensRadius,
      focusDistance: FOCUS,
    },
    width: 64,
    height: 16,
  });
}

/** Share of a unit disc on the right of x = s. */
function segment(s: number): number {
  if (s <= -1) return 1;
  return s >= 1 ? 0 : (Math.acos(s) - s * Math.sqrt(1 - s * s)) / Math.PI;
}

function profile(scene: TraceScene): number[] {
  const [values] = film(host, scene, 256);
  return Array.from({ length: 64 }, (_, x) => {
    let sum = 0;
    for (let y = 0; y < 16; y++) sum += values[3 * (y * 64 + x)] / 16;
    return sum;
  });
}

describe('lens', () => {
  it('is sharp in the plane of focus, lens or not', () => {
    for (const lens of [0, LENS]) {
      const p = profile(edge(FOCUS, lens));
      // the filter is three pixels wide
      for (const x of [0, 10, 29]) expect(p[x]).toBeLessThan(0.01);
      for (const x of [34, 50, 63]) expect(p[x]).toBeGreaterThan(0.99);
    }
  });

  it('blurs an edge behind it by its circle of confusion: disc segments, radius R·|z − f|/f (thin lens)', () => {
    const depth = 75;
    const p = profile(edge(depth, LENS));
    const perPixel = 8 / 64;
    const radius = (LENS * (depth - FOCUS)) / FOCUS;
    expect(p[32 + 4]).toBeLessThan(0.9);
    for (let x = 0; x < 64; x++) {
      const at = (x + 0.5 - 32) * perPixel;
      expect(Math.abs(p[x] - segment(-at / radius))).toBeLessThan(0.02);
    }
  });
});
