import { beforeAll, describe, expect, it } from 'vitest';
import type { TraceScene, Vec3 } from '../../pipeline/scene/trace-scene.ts';
import type { KernelHost } from '../../pipeline/tracer/kernel-host.ts';
import {
  bandMesh,
  bareScene,
  brilliantPlanes,
  film,
  kernel,
  meanOf,
  perfectMirror,
  sphereMesh,
  stoneAt,
  turned,
} from './kernel-fixture.ts';

/**
 * White furnace (Heitz, JCGT 3(2), 2014, section 5): inside a uniform dome of radiance 1 nothing that neither absorbs nor
 * emits can be seen, so every film value is 1.
 */
let host: KernelHost;
beforeAll(async () => {
  host = await kernel();
});

const camera: TraceScene['camera'] = {
  eye: [0, 0, 40],
  target: [0, 0, 0],
  up: [0, 1, 0],
  fovY: 0.36,
  lensRadius: 0,
  focusDistance: 40,
};
const white = {
  dome: new Float32Array([1, 1, 1]),
  ground: { kind: 'none' as const, albedo: [0, 0, 0] as [number, number, number], level: 1 },
  camera,
};

function insideDisc(values: Float32Array, size: number, radius: number): number[] {
  const kept: number[] = [];
  for (let y = 0; y < size; y++) {
    for (let x = 0; x < size; x++) {
      if (Math.hypot(x + 0.5 - size / 2, y + 0.5 - size / 2) > (radius * size) / 2) continue;
      for (let c = 0; c < 3; c++) kept.push(values[(y * size + x) * 3 + c]);
    }
  }
  return kept;
}

describe('metal sphere, F0 = F82 = 1', () => {
  // the sphere of radius 7 fills 97 % of the half frame at this distance
  for (const roughness of [0.05, 0.2, 0.3, 0.5, 0.7, 0.9]) {
    it(`roughness ${roughness} keeps all light`, () => {
      const alpha = roughness * roughness;
      const [values] = film(
        host,
        bareScene({
          ...white,
          mesh: sphereMesh(7, [0, 0, 0]),
          surfaces: [{ alphaX: alpha, alphaY: alpha, metal: 0, axis: [0, 0, 1] }],
          colourways: [perfectMirror],
          width: 32,
          height: 32,
        }),
        64,
      );
      const seen = insideDisc(values, 32, 0.9);
      expect(Math.abs(meanOf(seen) - 1)).toBeLessThan(0.005);
    });
  }

  it('loses light when the compensation is left out (the test can fail)', () => {
    // directional albedo of the single-scatter lobe at normal view: well below 1 when rough
    const surface = (alpha: number) => ({ alphaX: alpha, alphaY: alpha, metal: 0, axis: [0, 0, 1] as Vec3 });
    host.load(bareScene({ surfaces: [surface(0.81), surface(0.0025)], colourways: [perfectMirror] }));
    expect(host.kernel.probeAlbedo(0, 0, 0, 1)).toBeLessThan(0.85);
    expect(host.kernel.probeAlbedo(1, 0, 0, 1)).toBeGreaterThan(0.999);
  });

  it('anisotropic lobes keep all light', () => {
    const [values] = film(
      host,
      bareScene({
        ...white,
        mesh: sphereMesh(7, [0, 0, 0]),
        surfaces: [{ alphaX: 0.05, alphaY: 0.3, metal: 0, axis: [0, 1, 0] }],
        colourways: [perfectMirror],
        width: 32,
        height: 32,
      }),
      64,
    );
    expect(Math.abs(meanOf(insideDisc(values, 32, 0.9)) - 1)).toBeLessThan(0.005);
  });
});

it('a polished band, concave inside, keeps all but 0.5 % (paths end after 32 surfaces)', () => {
  const [values] = film(
    host,
    bareScene({
      ...white,
      mesh: bandMesh(5.5, 0.8, 2, 0),
      surfaces: [{ alphaX: 0.002, alphaY: 0.002, metal: 0, axis: [0, 0, 1] }],
      colourways: [perfectMirror],
      camera: { ...camera, eye: [20, 15, 30] },
      width: 48,
      height: 48,
    }),
    64,
  );
  expect(Math.abs(meanOf(values) - 1)).toBeLessThan(0.005);
});

describe('clear stones', () => {
  for (const [name, cauchyA, cauchyB] of [
    ['quartz-like', 1.54, 0],
    ['diamond-like', 2.3818, 0.0121],
    ['moissanite-like', 2.56, 0.034],
  ] as const) {
    it(`${name} brilliant keeps all but 0.5 % (at most 128 internal reflections)`, () => {
      for (const tilt of [0.3, 1.2]) {
        const [values] = film(
          host,
          bareScene({
            ...white,
            cuts: [brilliantPlanes(13)],
            stones: [stoneAt([0, 0, 0], turned(tilt, 0.1))],
            gems: [{ cauchyA, cauchyB }],
            colourways: [{ metals: [], gems: [{ absorption: [0, 0, 0] }] }],
            width: 32,
            height: 32,
          }),
          128,
        );
        for (let c = 0; c < 3; c++) {
          const channel = meanOf(values.filter((_, i) => i % 3 === c));
          expect(channel).toBeGreaterThan(0.995);
          expect(channel).toBeLessThan(1.003);
        }
      }
    });
  }
});
