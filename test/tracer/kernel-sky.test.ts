import { beforeAll, describe, expect, it } from 'vitest';
import type { Camera, Sky, TraceScene, Vec3 } from '../../pipeline/scene/trace-scene.ts';
import type { KernelHost } from '../../pipeline/tracer/kernel-host.ts';
import {
  bareScene,
  chiSquared,
  film,
  kernel,
  lightTowards,
  meanOf,
  numbers,
  quadMesh,
  sphereMesh,
} from './kernel-fixture.ts';

let host: KernelHost;
beforeAll(async () => {
  host = await kernel();
});

const metal = (f: number) => [{ metals: [{ f0: [f, f, f] as Vec3, f82: [f, f, f] as Vec3 }], gems: [] }];
const camera: Camera = {
  eye: [0, 14, 30],
  target: [0, 3, 0],
  up: [0, 1, 0],
  fovY: 0.5,
  lensRadius: 0,
  focusDistance: 30,
};

function skyOf(width: number, height: number, at: (i: number, j: number) => number, turn = 0): Sky {
  const texels = new Float32Array(width * height * 3);
  for (let j = 0; j < height; j++)
    for (let i = 0; i < width; i++) texels.fill(at(i, j), 3 * (j * width + i), 3 * (j * width + i) + 3);
  return { width, height, texels, turn };
}

const constant = skyOf(16, 8, () => 1);

function scene(parts: Partial<TraceScene>): TraceScene {
  return bareScene({
    camera,
    mesh: sphereMesh(5, [0, 5, 0], 64),
    surfaces: [{ alphaX: 0.2, alphaY: 0.2, metal: 0, axis: [0, 0, 1] }],
    colourways: metal(1),
    ground: { kind: 'white', albedo: [1, 1, 1], level: 1 },
    dome: new Float32Array([0, 0, 0]),
    width: 24,
    height: 24,
    ...parts,
  });
}

describe('a pictured sky', () => {
  it.each([0.001, 0.2, 0.6])(
    'even all over is the even dome: furnace with ground and ball of α %f stays 1',
    (alpha) => {
      const surfaces = [{ alphaX: alpha, alphaY: alpha, metal: 0, axis: [0, 0, 1] as Vec3 }];
      const [values] = film(host, scene({ sky: constant, surfaces }), 256);
      expect(Math.abs(meanOf(values) - 1)).toBeLessThan(0.005);
    },
  );

  it('even all over gives the same picture as the dome, panels beside it or not', () => {
    const lights = [
      lightTowards([60, 90, 30], [0, 5, 0], 30, 30, 3),
      lightTowards([-50, 20, 40], [0, 5, 0], 15, 30, 0),
    ];
    for (const l of [[], lights]) {
      const parts: Partial<TraceScene> = {
        lights: l,
        colourways: metal(0.7),
        ground: { kind: 'white', albedo: [0.8, 0.8, 0.8], level: 1 },
      };
      const [pictured] = film(host, scene({ ...parts, sky: constant }), 1024);
      const [dome] = film(host, scene({ ...parts, dome: new Float32Array([1, 1, 1]) }), 1024);
      expect(Math.abs(meanOf(pictured) / meanOf(dome) - 1)).toBeLessThan(0.004);
      let squares = 0;
      pictured.forEach((v, i) => {
        squares += (v - dome[i]) ** 2 / pictured.length;
      });
      expect(Math.sqrt(squares)).toBeLessThan(0.03);
    }
  });

  it('leaves white ground at its level, without noise, where nothing shades it', () => {
    const sun = skyOf(64, 32, (i, j) => (i === 20 && j === 8 ? 5000 : 0.1));
    const far: Camera = { ...camera, eye: [0, 30, 330], target: [0, 0, 300], fovY: 0.02 };
    const [values] = film(host, scene({ sky: sun, camera: far, mesh: bareScene({}).mesh }), 4);
    for (const v of values) expect(v).toBe(1);
  });

  it('directions follow the stated density (χ²), which integrates to one', () => {
    const random = numbers(5);
    const bright = Array.from({ length: 24 * 12 }, () => random() ** 6 * 20 + 0.05);
    const sky = skyOf(24, 12, (i, j) => bright[j * 24 + i], 0.17);
    host.load(bareScene({ sky }));
    const rows = 11;
    const columns = 23;
    const batch = 4000;
    const batches = 40;
    const counts = new Array<number>(rows * columns).fill(0);
    const { at, values } = host.scratch(batch * 5);
    let disagreement = 0;
    for (let b = 0; b < batches; b++) {
      host.kernel.probeLights(0, 0, 0, 70 + b, batch, at);
      for (let i = 0; i < batch; i++) {
        const [x, y, z, pdf, again] = values.subarray(5 * i, 5 * i + 5);
        expect(pdf).toBeGreaterThan(0);
        if (Math.abs(pdf / again - 1) > 1e-3) disagreement++;
        const row = Math.min(rows - 1, Math.floor((Math.acos(y) / Math.PI) * rows));
        const column = Math.floor((Math.atan2(x, z) / (2 * Math.PI) + 0.5) * columns);
        counts[row * columns + Math.min(columns - 1, column)]++;
      }
    }
    // on a texel's border rounding may put the two into neighbours
    expect(disagreement / (batch * batches)).toBeLessThan(2e-3);
    // cells of even steps of both angles, unlike the texels; midpoint quadrature of the density
    const fine = 40;
    const expected = counts.map((_, k) => {
      let sum = 0;
      for (let j = 0; j < fine; j++) {
        const theta = ((Math.floor(k / columns) + (j + 0.5) / fine) / rows) * Math.PI;
        const s = Math.sin(theta);
        for (let i = 0; i < fine; i++) {
          const a = (((k % columns) + (i + 0.5) / fine) / columns - 0.5) * 2 * Math.PI;
          sum += s * host.kernel.probeLightPdf(0, 0, 0, s * Math.sin(a), Math.cos(theta), s * Math.cos(a));
        }
      }
      return (sum * 2 * Math.PI * Math.PI * batch * batches) / (rows * columns * fine * fine);
    });
    const total = expected.reduce((a, b) => a + b, 0) / (batch * batches);
    expect(Math.abs(total - 1)).toBeLessThan(2e-3);
    expect(chiSquared(counts, expected)).toBeLessThan(4);
  });

  it('a small sun lights flat ground by L·cos θ·Ω, and a plate casts its shadow', () => {
    // one texel of 128 × 64 at 45°: Ω = (2π/128)(cos θ₀ − cos θ₁)
    const j = 16;
    const L = 3000;
    const sky = skyOf(128, 64, (i, row) => (i === 64 && row === j ? L : 0));
    const t0 = (Math.PI * j) / 64;
    const t1 = (Math.PI * (j + 1)) / 64;
    const irradiance = L * ((2 * Math.PI) / 128) * ((Math.sin(t1) ** 2 - Math.sin(t0) ** 2) / 2);
    const look: Camera = { ...camera, eye: [0, 60, 0.01], target: [0, 0, 0], up: [0, 0, -1], fovY: 0.002 };
    const sweep = { kind: 'sweep', albedo: [0.5, 0.5, 0.5] as Vec3, level: 0 } as const;
    const lit = film(host, scene({ sky, camera: look, mesh: bareScene({}).mesh, ground: sweep }), 16)[0];
    expect(Math.abs((meanOf(lit) * Math.PI) / (0.5 * irradiance) - 1)).toBeLessThan(0.001);
    // the sun stands towards −z at 45°: a plate above z = −20 hides it from the origin
    const mesh = quadMesh([-8, 20, -28], [16, 0, 0], [0, 0, 16]);
    const shaded = film(
      host,
      scene({ sky, camera: look, mesh, ground: sweep, colourways: metal(0) }),
      512,
    )[0];
    expect(Math.abs(meanOf(shaded) / meanOf(lit))).toBeLessThan(0.02);
    const turned = film(
      host,
      scene({ sky: { ...sky, turn: 0.5 }, camera: look, mesh, ground: sweep, colourways: metal(0) }),
      512,
    )[0];
    expect(meanOf(turned) / meanOf(lit)).toBeGreaterThan(0.95);
  });

  it('shows in a mirror where it stands: up is the first row, −z the middle, +x to its right', () => {
    const sky = skyOf(64, 32, (i, j) => (j < 2 ? 1 : j < 16 ? (i < 32 ? 2 : 3) : 4));
    const mesh = quadMesh([-100, -100, -1], [200, 0, 0], [0, 200, 0]);
    const surfaces = [{ alphaX: 0.001, alphaY: 0.001, metal: 0, axis: [0, 0, 1] as Vec3 }];
    const see = (d: Vec3) => {
      // a mirror facing +z turns the ray's z about
      const look: Camera = { ...camera, eye: [0, 0, 0], target: [d[0], d[1], -d[2]], fovY: 0.002 };
      const up: Vec3 = Math.abs(d[1]) > 0.9 ? [1, 0, 0] : [0, 1, 0];
      const s = scene({
        sky,
        mesh,
        surfaces,
        camera: { ...look, up },
        ground: { kind: 'none', albedo: [0, 0, 0], level: 9 },
      });
      return meanOf(film(host, s, 4)[0]);
    };
    expect(see([0, 1, 0.05])).toBeCloseTo(1, 3);
    expect(see([-0.5, 0.3, 0.5])).toBeCloseTo(2, 3);
    expect(see([0.5, 0.3, 0.5])).toBeCloseTo(3, 3);
    expect(see([0.1, -0.4, 0.5])).toBeCloseTo(4, 3);
  });
});
