import { beforeAll, describe, expect, it } from 'vitest';
import type { RectLight, TraceScene, Vec3 } from '../../pipeline/scene/trace-scene.ts';
import type { KernelHost } from '../../pipeline/tracer/kernel-host.ts';
import { bareScene, film, kernel, lightTowards, meanOf, quadMesh, sphereMesh } from './kernel-fixture.ts';

let host: KernelHost;
beforeAll(async () => {
  host = await kernel();
});

const black = { metals: [{ f0: [0, 0, 0] as Vec3, f82: [0, 0, 0] as Vec3 }], gems: [] };
const mirror = { metals: [{ f0: [1, 1, 1] as Vec3, f82: [1, 1, 1] as Vec3 }], gems: [] };
const surfaces = [{ alphaX: 0.001, alphaY: 0.001, metal: 0, axis: [0, 0, 1] as Vec3 }];
const studio: RectLight[] = [
  lightTowards([0, 200, 0], [0, 0, 0], 90, 60, 4, 0.3),
  lightTowards([-180, 90, 60], [0, 8, 0], 40, 80, 6),
  lightTowards([60, 40, 60], [0, 8, 0], 20, 20, 0),
];

function groundScene(parts: Partial<TraceScene>): TraceScene {
  return bareScene({
    ground: { kind: 'white', albedo: [0.8, 0.8, 0.8], level: 1 },
    dome: new Float32Array([0.3, 0.3, 0.3]),
    lights: studio,
    surfaces,
    colourways: [black],
    camera: {
      eye: [0, 60, 0.01],
      target: [0, 0, 0],
      up: [0, 0, -1],
      fovY: 0.02,
      lensRadius: 0,
      focusDistance: 60,
    },
    ...parts,
  });
}

/**
 * Irradiance under a parallel rectangle whose corner lies above the point, per unit radiance: the differential-element
 * formula of configuration factors (Howell, "A Catalog of Radiation Heat Transfer Configuration Factors", B-3) times π.
 */
function cornerIrradiance(a: number, b: number, height: number): number {
  const x = a / height;
  const y = b / height;
  const p = Math.sqrt(1 + x * x);
  const q = Math.sqrt(1 + y * y);
  return 0.5 * ((x / p) * Math.atan(y / p) + (y / q) * Math.atan(x / q));
}

/** The same for a rectangle [x0, x1] × [y0, y1] at any place above the origin, by signed corners. */
function rectangleIrradiance(x0: number, x1: number, y0: number, y1: number, height: number): number {
  const f = (x: number, y: number): number =>
    Math.sign(x) * Math.sign(y) * cornerIrradiance(Math.abs(x), Math.abs(y), height);
  return f(x1, y1) - f(x0, y1) - f(x1, y0) + f(x0, y0);
}

function irradiance(x: number, z: number): number[] {
  const { at, values } = host.scratch(4);
  host.kernel.probeIrradiance(x, z, at);
  return [...values.subarray(0, 3)];
}

describe('irradiance of the empty studio', () => {
  const overhead: RectLight = {
    centre: [0, 100, 0],
    u: [50, 0, 0],
    v: [0, 0, 30],
    radiance: [2, 2, 2],
    falloff: 0,
  };
  // u × v points down: x × z = −y
  it('matches the form factor of a parallel rectangle to 0.2 %, below and beside it', () => {
    host.load(groundScene({ lights: [overhead], dome: new Float32Array([0, 0, 0]) }));
    for (const [x, z] of [
      [0, 0],
      [20, -10],
      [80, 40],
      [200, 0],
    ]) {
      const expected = 2 * rectangleIrradiance(-50 - x, 50 - x, -30 - z, 30 - z, 100);
      for (const e of irradiance(x, z)) expect(Math.abs(e / expected - 1)).toBeLessThan(0.002);
    }
  });

  it('an even dome gives π times its radiance; a light seen from behind blocks it', () => {
    host.load(groundScene({ lights: [], dome: new Float32Array([0.7, 0.7, 0.7]) }));
    for (const e of irradiance(5, 5)) expect(Math.abs(e / (0.7 * Math.PI) - 1)).toBeLessThan(1e-5);
    const turnedAway: RectLight = { ...overhead, u: [-50, 0, 0] };
    host.load(groundScene({ lights: [turnedAway], dome: new Float32Array([0.7, 0.7, 0.7]) }));
    const expected = 0.7 * (Math.PI - rectangleIrradiance(-50, 50, -30, 30, 100));
    for (const e of irradiance(0, 0)) expect(Math.abs(e / expected - 1)).toBeLessThan(0.02);
  });

  it('a light half below the horizon counts only above it', () => {
    const standing: RectLight = {
      centre: [-100, 0, 0],
      u: [0, 0, 40],
      v: [0, 30, 0],
      radiance: [1, 1, 1],
      falloff: 0,
    };
    const raised: RectLight = { ...standing, centre: [-100, 15, 0], v: [0, 15, 0] };
    const dome = new Float32Array([0, 0, 0]);
    host.load(groundScene({ lights: [standing], dome }));
    const half = irradiance(0, 0)[0];
    host.load(groundScene({ lights: [raised], dome }));
    // u × v = z × y = −x: turned away, so flip
    expect(half).toBe(0);
    const flip = (l: RectLight): RectLight => ({ ...l, u: [0, 0, -40] });
    host.load(groundScene({ lights: [flip(standing)], dome }));
    const a = irradiance(0, 0)[0];
    host.load(groundScene({ lights: [flip(raised)], dome }));
    const b = irradiance(0, 0)[0];
    expect(a).toBeGreaterThan(0.01);
    expect(Math.abs(a / b - 1)).toBeLessThan(0.01);
  });
});

describe('white ground', () => {
  it('is exactly the level where nothing can shade it, and above the horizon', () => {
    for (const level of [1, 0.9]) {
      // nothing in the scene at all, and a band far outside every ray
      const camera = {
        eye: [0, 30, 80] as Vec3,
        target: [0, 10, 0] as Vec3,
        up: [0, 1, 0] as Vec3,
        fovY: 0.8,
        lensRadius: 0,
        focusDistance: 80,
      };
      host.load(groundScene({ ground: { kind: 'white', albedo: [0.8, 0.8, 0.8], level }, camera }));
      const rgb = new Float32Array(8 * 8 * 3);
      host.render(0, 0, 8, 8, 0, 4, 1, rgb);
      for (const v of rgb) expect(v).toBe(Math.fround(level) * 4);
    }
  });

  it('goes black under a black plate that hides the whole sky', () => {
    // 4 m square plate 0.5 mm above the ground, seen by a camera between them
    const camera = {
      eye: [0, 0.3, 3] as Vec3,
      target: [0, 0, 0] as Vec3,
      up: [0, 1, 0] as Vec3,
      fovY: 0.02,
      lensRadius: 0,
      focusDistance: 3,
    };
    const mesh = quadMesh([-2000, 0.5, -2000], [4000, 0, 0], [0, 0, 4000]);
    const [values] = film(host, groundScene({ mesh, camera }), 256);
    expect(Math.abs(meanOf(values))).toBeLessThan(0.01);
  });

  it('loses exactly the form factor of a black plate in front of an even dome', () => {
    const mesh = quadMesh([-15, 20, -10], [30, 0, 0], [0, 0, 20]);
    // camera below the plate, looking at the point under its middle
    const camera = {
      eye: [0, 10, 10] as Vec3,
      target: [0, 0, 0] as Vec3,
      up: [0, 1, 0] as Vec3,
      fovY: 0.002,
      lensRadius: 0,
      focusDistance: 14,
    };
    const [values] = film(
      host,
      groundScene({ mesh, camera, lights: [], dome: new Float32Array([1, 1, 1]) }),
      1024,
    );
    const expected = 1 - rectangleIrradiance(-15, 15, -10, 10, 20) / Math.PI;
    expect(Math.abs(meanOf(values) - expected)).toBeLessThan(0.003);
  });

  it('loses exactly the shaded part of a rectangle light: light and plate share their form factors', () => {
    // the plate hides the half x < 0 of an overhead light: what is left is the form factor of the other half
    const light: RectLight = {
      centre: [0, 100, 0],
      u: [50, 0, 0],
      v: [0, 0, 30],
      radiance: [2, 2, 2],
      falloff: 0,
    };
    const mesh = quadMesh([-40, 10, -40], [40, 0, 0], [0, 0, 80]);
    const camera = {
      eye: [10, 30, 0.01] as Vec3,
      target: [0, 0, 0] as Vec3,
      up: [0, 0, -1] as Vec3,
      fovY: 0.0005,
      lensRadius: 0,
      focusDistance: 30,
    };
    const [values] = film(
      host,
      groundScene({ mesh, camera, lights: [light], dome: new Float32Array([0, 0, 0]) }),
      2048,
    );
    expect(Math.abs(meanOf(values) - 0.5)).toBeLessThan(0.004);
  });

  it('a mirror ball on the ground of an even dome darkens nothing but by the albedo of what it mirrors', () => {
    // ground albedo 1 under an even dome of 1 is a furnace: everything is 1, contact point included
    const mesh = sphereMesh(5, [0, 5, 0], 64);
    const camera = {
      eye: [0, 14, 30] as Vec3,
      target: [0, 3, 0] as Vec3,
      up: [0, 1, 0] as Vec3,
      fovY: 0.5,
      lensRadius: 0,
      focusDistance: 30,
    };
    const scene = groundScene({
      mesh,
      camera,
      colourways: [mirror],
      lights: [],
      dome: new Float32Array([1, 1, 1]),
      ground: { kind: 'white', albedo: [1, 1, 1], level: 1 },
      width: 24,
      height: 24,
    });
    const [values] = film(host, scene, 256);
    expect(Math.abs(meanOf(values) - 1)).toBeLessThan(0.003);
    const [dim] = film(host, { ...scene, ground: { kind: 'white', albedo: [0.5, 0.5, 0.5], level: 1 } }, 64);
    expect(meanOf(dim)).toBeLessThan(0.97);
  });

  it('the same furnace holds with a bright light whose dome share is replaced: MIS adds nothing and loses nothing', () => {
    // a huge rectangle of the dome's own radiance hangs in the dome: still everywhere 1
    const mesh = sphereMesh(5, [0, 5, 0], 64);
    const camera = {
      eye: [0, 14, 30] as Vec3,
      target: [0, 3, 0] as Vec3,
      up: [0, 1, 0] as Vec3,
      fovY: 0.5,
      lensRadius: 0,
      focusDistance: 30,
    };
    for (const alpha of [0.001, 0.2]) {
      const [values] = film(
        host,
        groundScene({
          mesh,
          camera,
          surfaces: [{ alphaX: alpha, alphaY: alpha, metal: 0, axis: [0, 0, 1] }],
          colourways: [mirror],
          lights: [{ centre: [20, 100, 10], u: [80, 0, 0], v: [0, 0, 60], radiance: [1, 1, 1], falloff: 0 }],
          dome: new Float32Array([1, 1, 1]),
          ground: { kind: 'white', albedo: [1, 1, 1], level: 1 },
          width: 24,
          height: 24,
        }),
        256,
      );
      expect(Math.abs(meanOf(values) - 1)).toBeLessThan(0.004);
    }
  });
});
