import { beforeAll, describe, expect, it } from 'vitest';
import type { RectLight, TraceScene, Vec3 } from '../../pipeline/scene/trace-scene.ts';
import type { KernelHost } from '../../pipeline/tracer/kernel-host.ts';
import {
  bareScene,
  cross,
  film,
  kernel,
  lightTowards,
  meanOf,
  minus,
  quadMesh,
  radians,
  unit,
} from './kernel-fixture.ts';

/**
 * What a flat piece of metal sends to the eye, traced and worked out by quadrature in double precision from the published
 * formulas: distribution and height-correlated shadowing of anisotropic GGX (Heitz, JCGT 3(2), 2014),
 * Fresnel's curve with a tint at 82° (Kutz, Hasan, Edmondson, 2021), energy given back as in Turquin (2019). No sampling,
 * no tables and no code in common with the kernel.
 */
let host: KernelHost;
beforeAll(async () => {
  host = await kernel();
});

const gold = { f0: [0.9, 0.694, 0.452] as Vec3, f82: [0.93, 0.86, 0.77] as Vec3 };
/** Dark below, warm at the horizon, bright blue above; linear over elevation. */
const dome = new Float32Array([0.05, 0.1, 0.2, 0.6, 0.4, 0.2, 0.8, 1.2, 2.4]);

/** Coordinates of the quadrature: z is the normal, x the tangent. The scene's plane lies in x, −z with y up. */
type Radiance = (towards: Vec3) => Vec3;

function lobe(o: Vec3, i: Vec3, ax: number, ay: number): number {
  const h = unit([o[0] + i[0], o[1] + i[1], o[2] + i[2]]);
  const d = 1 / (Math.PI * ax * ay * ((h[0] / ax) ** 2 + (h[1] / ay) ** 2 + h[2] ** 2) ** 2);
  const lambda = (w: Vec3) => (Math.sqrt(1 + ((ax * w[0]) ** 2 + (ay * w[1]) ** 2) / w[2] ** 2) - 1) / 2;
  return d / (1 + lambda(o) + lambda(i)) / (4 * o[2] * i[2]);
}

function fresnel(c: number, k: number): number {
  const f0 = gold.f0[k];
  const plain = (x: number) => f0 + (1 - f0) * (1 - x) ** 5;
  const bend = (x: number) => x * (1 - x) ** 6;
  const tint = Math.cos(radians(82));
  return plain(c) - ((plain(tint) - gold.f82[k]) / bend(tint)) * bend(c);
}

/** ∫ lobe · light · cos over the hemisphere, midpoints of even steps in height and turn; and the same for F = 1. */
function reflected(o: Vec3, ax: number, ay: number, light: Radiance): { colour: Vec3; albedo: number } {
  // the narrowest lobe here is some twenty steps wide; midpoints of so smooth a curve are exact to far below a thousandth
  const [rows, columns] = [500, 500];
  const colour: Vec3 = [0, 0, 0];
  let albedo = 0;
  for (let j = 0; j < rows; j++) {
    const z = (j + 0.5) / rows;
    const s = Math.sqrt(1 - z * z);
    for (let n = 0; n < columns; n++) {
      const turn = ((n + 0.5) / columns) * 2 * Math.PI;
      const i: Vec3 = [s * Math.cos(turn), s * Math.sin(turn), z];
      const share = (lobe(o, i, ax, ay) * z * 2 * Math.PI) / (rows * columns);
      albedo += share;
      const h = unit([o[0] + i[0], o[1] + i[1], o[2] + i[2]]);
      const c = o[0] * h[0] + o[1] * h[1] + o[2] * h[2];
      const l = light(i);
      for (let k = 0; k < 3; k++) colour[k] += share * fresnel(c, k) * l[k];
    }
  }
  return { colour, albedo };
}

function compensated(colour: Vec3, albedo: number): Vec3 {
  return colour.map((v, k) => v * (1 + (gold.f0[k] * (1 - albedo)) / albedo)) as Vec3;
}

function scene(o: Vec3, ax: number, ay: number, parts: Partial<TraceScene>): TraceScene {
  return bareScene({
    // the tangent is cross(axis, normal) = cross(z, y) = −x
    mesh: quadMesh([-500, 0, 500], [1000, 0, 0], [0, 0, -1000]),
    surfaces: [{ alphaX: ax, alphaY: ay, metal: 0, axis: [0, 0, 1] }],
    colourways: [{ metals: [gold], gems: [] }],
    camera: {
      eye: [50 * o[0], 50 * o[2], -50 * o[1]],
      target: [0, 0, 0],
      up: [0, 0, -1],
      fovY: 1e-4,
      lensRadius: 0,
      focusDistance: 50,
    },
    ...parts,
  });
}

const domeLight: Radiance = (i) => {
  const x = (Math.asin(i[2]) / Math.PI + 0.5) * 2;
  const at = Math.min(1, Math.floor(x));
  return [0, 1, 2].map(
    (k) => dome[3 * at + k] + (x - at) * (dome[3 * at + 3 + k] - dome[3 * at + k]),
  ) as Vec3;
};

function means(values: Float32Array): Vec3 {
  return [0, 1, 2].map((k) => meanOf(values.filter((_, i) => i % 3 === k))) as Vec3;
}

describe('flat gold, radiance against quadrature of the published formulas', () => {
  for (const [name, tilt, turn, ax, ay] of [
    ['nearly polished, 20°', 20, 0, 0.06, 0.06],
    ['satin, 50°', 50, 0.4, 0.25, 0.25],
    ['sandblasted, 75°', 75, 1.1, 0.5, 0.5],
    ['brushed, 45° along the strokes', 45, 0, 0.1, 0.4],
    ['brushed, 60° askew', 60, 0.9, 0.1, 0.4],
  ] as const) {
    const t = radians(tilt);
    const o: Vec3 = [Math.sin(t) * Math.cos(turn), Math.sin(t) * Math.sin(turn), Math.cos(t)];

    let known: ReturnType<typeof reflected> | undefined;
    const underDome = () => {
      known ??= reflected(o, ax, ay, domeLight);
      return known;
    };

    it(`${name}: under a dome of three colours`, () => {
      const { colour, albedo } = underDome();
      const found = means(film(host, scene(o, ax, ay, { dome }), 1024)[0]);
      compensated(colour, albedo).forEach((v, k) => {
        expect(Math.abs(found[k] / v - 1)).toBeLessThan(0.005);
      });
    });

    it(`${name}: under a softbox near the mirror direction`, () => {
      const mirrored: Vec3 = [-o[0] * 60 + 12, o[2] * 60, o[1] * 60 - 9];
      const box = lightTowards(mirrored, [0, 0, 0], 14, 9, 3);
      const { albedo } = underDome();
      const expected = compensated(fromBox(o, ax, ay, box), albedo);
      const found = means(
        film(host, scene(o, ax, ay, { lights: [box], dome: new Float32Array(3) }), 4096)[0],
      );
      expected.forEach((v, k) => {
        expect(Math.abs(found[k] / v - 1)).toBeLessThan(0.006);
      });
    });
  }
});

/** The same for a rectangle: midpoints over its area, cos θ′ / r² each. */
function fromBox(o: Vec3, ax: number, ay: number, box: RectLight): Vec3 {
  const steps = 400;
  const normal = unit(cross(box.u, box.v));
  const cell = (4 * Math.hypot(...box.u) * Math.hypot(...box.v)) / steps ** 2;
  const sum: Vec3 = [0, 0, 0];
  for (let a = 0; a < steps; a++) {
    for (let b = 0; b < steps; b++) {
      const [u, v] = [(2 * a + 1) / steps - 1, (2 * b + 1) / steps - 1];
      const p = minus(box.centre, [0, 1, 2].map((k) => -u * box.u[k] - v * box.v[k]) as Vec3);
      const r = Math.hypot(...p);
      const facing = Math.abs(p[0] * normal[0] + p[1] * normal[1] + p[2] * normal[2]) / r;
      const i: Vec3 = [p[0] / r, -p[2] / r, p[1] / r];
      if (i[2] <= 0) continue;
      const h = unit([o[0] + i[0], o[1] + i[1], o[2] + i[2]]);
      const c = o[0] * h[0] + o[1] * h[1] + o[2] * h[2];
      const share = (lobe(o, i, ax, ay) * i[2] * facing * cell) / r ** 2;
      for (let k = 0; k < 3; k++) sum[k] += share * fresnel(c, k) * box.radiance[k];
    }
  }
  return sum;
}
