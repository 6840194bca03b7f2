import { beforeAll, describe, expect, it } from 'vitest';
import { underCoat } from '../../pipeline/scene/ground.ts';
import type {
  Camera,
  Colourway,
  Ground,
  RectLight,
  TraceScene,
  Vec3,
} from '../../pipeline/scene/trace-scene.ts';
import type { KernelHost } from '../../pipeline/tracer/kernel-host.ts';
import {
  bareScene,
  film,
  kernel,
  lightTowards,
  meanOf,
  quadMesh,
  radians,
  sphereMesh,
} from './kernel-fixture.ts';

let host: KernelHost;
beforeAll(async () => {
  host = await kernel();
});

const mirror: Colourway = { metals: [{ f0: [1, 1, 1], f82: [1, 1, 1] }], gems: [] };
const black: Colourway = { metals: [{ f0: [0, 0, 0], f82: [0, 0, 0] }], gems: [] };
const surfaces = [{ alphaX: 0.001, alphaY: 0.001, metal: 0, axis: [0, 0, 1] as Vec3 }];
const even = new Float32Array([1, 1, 1]);
const none = new Float32Array([0, 0, 0]);
const SWEEP: Ground = { kind: 'sweep', albedo: [0.5, 0.4, 0.3], level: 0 };

/** A narrow camera that looks at the origin of the ground from this elevation. */
function looking(elevation: number, fovY = 0.002): Camera {
  const e = radians(elevation);
  return {
    eye: [0, 100 * Math.sin(e), 100 * Math.cos(e)],
    target: [0, 0, 0],
    up: elevation > 80 ? [0, 0, -1] : [0, 1, 0],
    fovY,
    lensRadius: 0,
    focusDistance: 100,
  };
}

function scene(parts: Partial<TraceScene>): TraceScene {
  return bareScene({ surfaces, colourways: [black], dome: even, camera: looking(45), ...parts });
}

/** Channel means. */
function rgb(values: Float32Array): number[] {
  return [0, 1, 2].map((k) => meanOf(values.filter((_, i) => i % 3 === k)));
}

/** Howell, "A Catalog of Radiation Heat Transfer Configuration Factors", B-3 (corner) times π, four quarters. */
function irradianceBelow(a: number, b: number, height: number): number {
  const x = a / height;
  const y = b / height;
  const p = Math.hypot(1, x);
  const q = Math.hypot(1, y);
  return 4 * 0.5 * ((x / p) * Math.atan(y / p) + (y / q) * Math.atan(x / q));
}

const overhead: RectLight = {
  centre: [0, 100, 0],
  u: [50, 0, 0],
  v: [0, 0, 30],
  radiance: [2, 2, 2],
  falloff: 0,
};

describe('sweep', () => {
  it('is a Lambertian ground: albedo/π times the form factor of a rectangle overhead, without noise', () => {
    const [values] = film(host, scene({ ground: SWEEP, lights: [overhead], dome: none }), 4);
    const e = 2 * irradianceBelow(50, 30, 100);
    rgb(values).forEach((v, k) => {
      expect(Math.abs((v * Math.PI) / (SWEEP.albedo[k] * e) - 1)).toBeLessThan(0.003);
    });
    expect(
      Math.max(...values.filter((_, i) => i % 3 === 0)) - Math.min(...values.filter((_, i) => i % 3 === 0)),
    ).toBeLessThan(1e-4);
  });

  it('shows no horizon: paper and air meet in one value, whatever stands about', () => {
    const lights = [overhead, lightTowards([-180, 90, -160], [0, 8, 0], 40, 80, 6)];
    const camera: Camera = { ...looking(0), eye: [0, 5, 100], target: [0, 5, 0], fovY: 0.02 };
    const [values] = film(
      host,
      scene({ ground: SWEEP, lights, dome: new Float32Array([0.1, 0.1, 0.1, 0.4, 0.4, 0.4]), camera }),
      64,
    );
    const row = (y: number) => meanOf(values.subarray(y * 24, (y + 1) * 24));
    // rows 0–3 look up, rows 4–7 down on ground that lies 1 to 8 m away
    expect(row(1)).toBeGreaterThan(0);
    expect(Math.abs(row(4) / row(3) - 1)).toBeLessThan(0.03);
    expect(row(0)).toBeCloseTo(row(2), 6);
  });

  it('is a furnace with a mirror ball on it when it reflects everything', () => {
    const mesh = sphereMesh(5, [0, 5, 0], 64);
    const camera: Camera = { ...looking(20, 0.4), target: [0, 4, 0] };
    const ground: Ground = { kind: 'sweep', albedo: [1, 1, 1], level: 0 };
    const [values] = film(
      host,
      scene({ mesh, camera, ground, colourways: [mirror], width: 24, height: 24 }),
      256,
    );
    expect(Math.abs(meanOf(values) - 1)).toBeLessThan(0.003);
  });

  it('goes dark under a black plate by the plate’s form factor', () => {
    const mesh = quadMesh([-15, 20, -10], [30, 0, 0], [0, 0, 20]);
    const camera: Camera = { ...looking(45), eye: [0, 10, 10] };
    const [values] = film(host, scene({ ground: SWEEP, mesh, camera }), 1024);
    const expected = 1 - irradianceBelow(15, 10, 20) / Math.PI;
    rgb(values).forEach((v, k) => {
      expect(Math.abs(v / SWEEP.albedo[k] - expected)).toBeLessThan(0.006);
    });
  });
});

/** Fresnel's equations for unpolarised light (Born & Wolf, Principles of Optics, § 1.5.2). */
function fresnel(elevation: number, n: number): number {
  const c = Math.sin(radians(elevation));
  const t = Math.sqrt(1 - (1 - c * c) / (n * n));
  return (((c - n * t) / (c + n * t)) ** 2 + ((n * c - t) / (n * c + t)) ** 2) / 2;
}

describe('gloss', () => {
  const BLACK: Ground = { kind: 'gloss', albedo: [0, 0, 0], level: 0 };

  it.each([89, 60, 30, 10, 3])('mirrors an even dome by Fresnel’s law at %i° elevation', (elevation) => {
    const [values] = film(host, scene({ ground: BLACK, camera: looking(elevation) }), 16);
    expect(Math.abs(meanOf(values) / fresnel(elevation, 1.49) - 1)).toBeLessThan(0.01);
  });

  it('mirrors a light where the law of reflection puts it, and nothing beside it', () => {
    const light = lightTowards([0, 100, -100], [0, 0, 0], 20, 20, 5);
    const [hit] = film(host, scene({ ground: BLACK, lights: [light], dome: none }), 16);
    expect(Math.abs(meanOf(hit) / (5 * fresnel(45, 1.49)) - 1)).toBeLessThan(0.01);
    const [miss] = film(host, scene({ ground: BLACK, lights: [light], dome: none, camera: looking(25) }), 16);
    expect(meanOf(miss)).toBe(0);
  });

  it('mirrors what stands on it', () => {
    // a mirror ball under an even dome of 1 on black gloss: its image is F times what it shows
    const mesh = quadMesh([-500, 0, -1], [1000, 0, 0], [0, 500, 0]);
    const camera = looking(30);
    const [values] = film(host, scene({ ground: BLACK, mesh, camera }), 16);
    // the plate is black: its image is too
    expect(meanOf(values)).toBe(0);
  });

  it('mirrors a bright plate without grain: each sample brings its Fresnel share, none is lost for being faint', () => {
    const mesh = quadMesh([-500, 0, -1], [1000, 0, 0], [0, 500, 0]);
    const [values] = film(
      host,
      scene({ ground: BLACK, mesh, colourways: [mirror], camera: looking(30), width: 16, height: 16 }),
      1,
    );
    for (const v of values) expect(Math.abs(v / fresnel(30, 1.49) - 1)).toBeLessThan(0.01);
  });

  it('is a furnace with a mirror ball on it when its body reflects everything', () => {
    expect(underCoat(1)).toBeCloseTo(1, 12);
    const mesh = sphereMesh(5, [0, 5, 0], 64);
    const camera: Camera = { ...looking(20, 0.4), target: [0, 4, 0] };
    const ground: Ground = { kind: 'gloss', albedo: [1, 1, 1], level: 0 };
    const [values] = film(
      host,
      scene({ mesh, camera, ground, colourways: [mirror], width: 24, height: 24 }),
      256,
    );
    expect(Math.abs(meanOf(values) - 1)).toBeLessThan(0.004);
  });
});

describe('a dark ground', () => {
  it('returns no speck of a lamp that a mirror throws on it: a path brings at most its albedo times the clamp of 8 a time', () => {
    const albedo = 0.02;
    const lamp = lightTowards([0, 100, 60], [0, 6, -4], 6, 6, 3000);
    const [mirrored, dull] = film(
      host,
      scene({
        ground: { kind: 'sweep', albedo: [albedo, albedo, albedo], level: 0 },
        mesh: sphereMesh(5, [0, 6, -4]),
        colourways: [mirror, black],
        lights: [lamp],
        dome: none,
        camera: looking(60, 0.06),
        width: 64,
        height: 64,
      }),
      1,
    );
    const most = Math.max(...mirrored.map((v, i) => v - dull[i]));
    expect(most).toBeGreaterThan(0.99 * 8 * albedo);
    // twice: once where the lamp is looked for from the mirror, once where the mirrored ray meets it
    expect(most).toBeLessThan(2 * 8 * albedo);
  });
});
