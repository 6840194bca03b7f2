import { beforeAll, describe, expect, it } from 'vitest';
import type { RectLight, TraceScene, Vec3 } from '../../pipeline/scene/trace-scene.ts';
import type { KernelHost } from '../../pipeline/tracer/kernel-host.ts';
import { matching } from '../../pipeline/tracer/spectrum.ts';
import {
  bareScene,
  boxPlanes,
  film,
  kernel,
  lightTowards,
  meanOf,
  quadMesh,
  radians,
  stoneAt,
} from './kernel-fixture.ts';

let host: KernelHost;
beforeAll(async () => {
  host = await kernel();
});

const diamond = 2.417;
const clear = [0, 0, 0] as Vec3;

/** A plate of half thickness z at distance 10 before the camera, with what shines on it. */
function plate(parts: Partial<TraceScene>, half = 1, absorption: Vec3 = clear, index = diamond): TraceScene {
  return bareScene({
    cuts: [boxPlanes(400, 400, half)],
    stones: [stoneAt([0, 0, -10])],
    gems: [{ cauchyA: index, cauchyB: 0 }],
    colourways: [{ metals: [], gems: [{ absorption }] }],
    ...parts,
  });
}

const behind = [lightTowards([0, 0, -50], [0, 0, 0], 30, 30, 1)];
const before = [lightTowards([0, 0, 50], [0, 0, 0], 30, 30, 1)];

describe('Fresnel', () => {
  it('diamond reflects 17.2 % at normal incidence (gem handbooks, from memory; = ((n−1)/(n+1))²)', () => {
    // the back face is made to matter nothing by absorption
    const [values] = film(host, plate({ lights: before }, 1, [50, 50, 50]), 64);
    expect(meanOf(values)).toBeCloseTo(0.172, 3);
  });

  it('a clear plate transmits (1−R)/(1+R) and reflects 2R/(1+R), all passes summed', () => {
    const r = ((diamond - 1) / (diamond + 1)) ** 2;
    const [through] = film(host, plate({ lights: behind }), 4096);
    expect(Math.abs(meanOf(through) - (1 - r) / (1 + r))).toBeLessThan(0.004);
    const [back] = film(host, plate({ lights: before }), 4096);
    expect(Math.abs(meanOf(back) - (2 * r) / (1 + r))).toBeLessThan(0.004);
  });

  it('inside diamond the critical angle is 24.4° (arcsin 1/2.417)', () => {
    const at = (degrees: number): number => host.kernel.fresnel(Math.cos(radians(degrees)), diamond);
    expect(at(24.3)).toBeLessThan(0.9);
    expect(at(24.5)).toBe(1);
    let low = 20;
    let high = 30;
    for (let i = 0; i < 40; i++) {
      const middle = (low + high) / 2;
      if (at(middle) < 1) low = middle;
      else high = middle;
    }
    expect(low).toBeCloseTo(24.44, 1);
  });

  it('at Brewster’s angle half of the s-part is all that is left', () => {
    // R = ½ ((n² − 1)/(n² + 1))² at tan θ = n (Born & Wolf, Principles of Optics, §1.5)
    const n = 1.54;
    const expected = 0.5 * ((n * n - 1) / (n * n + 1)) ** 2;
    expect(host.kernel.fresnel(Math.cos(Math.atan(n)), 1 / n)).toBeCloseTo(expected, 5);
  });
});

describe('absorption', () => {
  it('follows exp(−σ d) through a plate, repeated reflections included', () => {
    const sigma: Vec3 = [0.05, 0.3, 0.9];
    const r = ((diamond - 1) / (diamond + 1)) ** 2;
    for (const half of [0.25, 1.5]) {
      const [values] = film(host, plate({ lights: behind }, half, sigma), 4096);
      sigma.forEach((s, c) => {
        const a = Math.exp(-s * 2 * half);
        const expected = ((1 - r) ** 2 * a) / (1 - (r * a) ** 2);
        const found = meanOf(values.filter((_, i) => i % 3 === c));
        expect(Math.abs(found - expected)).toBeLessThan(0.004);
      });
    }
  });

  it('the exponential is exact to 2e-6 down to e⁻²⁰', () => {
    for (let x = 0; x < 20; x += 0.137) {
      expect(Math.abs(host.kernel.probeDecay(-x) / Math.exp(-x) - 1)).toBeLessThan(2e-6);
    }
    expect(host.kernel.probeDecay(0)).toBe(1);
  });
});

describe('dispersion', () => {
  const a = 2.3818;
  const b = 0.0121;
  const apex = radians(14);
  const index = (micron: number): number => a + b / (micron * micron);

  /**
   * A wedge: flat face towards the camera (normal +z), the other tilted by the apex angle. A ray along −z enters
   * undeflected and leaves at asin(n sin apex) from the tilted face's normal.
   */
  const wedge = new Float32Array([
    0,
    0,
    1,
    1,
    0,
    Math.sin(apex),
    -Math.cos(apex),
    1,
    1,
    0,
    0,
    30,
    -1,
    0,
    0,
    30,
    0,
    1,
    0,
    8,
    0,
    -1,
    0,
    8,
  ]);
  const leaving = (micron: number): number => Math.asin(index(micron) * Math.sin(apex)) - apex;

  /** Light far behind that fills all exit angles above `angle` (towards −y) up to 15° more. */
  function lightAbove(angle: number): RectLight {
    const middle = angle + radians(7.5);
    const far = 20_000;
    const centre: Vec3 = [0, -far * Math.sin(middle), -10 - far * Math.cos(middle)];
    return lightTowards(centre, [0, 0, -10], 2000, far * Math.tan(radians(7.5)), 1);
  }

  it('white light splits as Snell and Cauchy say: shares above five exit angles', () => {
    const { at, values: entry } = host.scratch(4);
    const stone = {
      cuts: [wedge],
      stones: [stoneAt([0, 0, -10])],
      gems: [{ cauchyA: a, cauchyB: b }],
      colourways: [{ metals: [], gems: [{ absorption: [0, 0, 0] as Vec3 }] }],
      camera: {
        eye: clear,
        target: [0, 0, -1] as Vec3,
        up: [0, 1, 0] as Vec3,
        fovY: 1e-4,
        lensRadius: 0,
        focusDistance: 1,
      },
    };
    const all = film(host, bareScene({ ...stone, lights: [lightAbove(leaving(0.72))] }), 4096)[0];
    const whole = meanOf(all);
    expect(whole).toBeGreaterThan(0.5);
    for (const u of [0.1, 0.3, 0.5, 0.7, 0.9]) {
      host.load(bareScene({}));
      host.kernel.probeWave(u, at);
      const micron = entry[3];
      // shorter waves leave at larger angles: the light above takes the share below u of the wavelength's distribution
      const part = meanOf(
        film(host, bareScene({ ...stone, lights: [lightAbove(leaving(micron))] }), 4096)[0],
      );
      expect(Math.abs(part / whole - u)).toBeLessThan(0.01);
    }
  });

  it('wavelength weights have mean (1, 1, 1) and stay within [0, 3.1]', () => {
    host.load(bareScene({}));
    const { at, values } = host.scratch(4);
    const sum = [0, 0, 0];
    const n = 5100;
    let least = 1;
    let most = 1;
    for (let i = 0; i < n; i++) {
      host.kernel.probeWave((i + 0.5) / n, at);
      for (let c = 0; c < 3; c++) {
        sum[c] += values[c] / n;
        least = Math.min(least, values[c]);
        most = Math.max(most, values[c]);
      }
    }
    expect(least).toBeGreaterThanOrEqual(0);
    expect(most).toBeLessThan(3.1);
    for (const s of sum) expect(s).toBeCloseTo(1, 4);
  });

  it('colour-matching functions agree with CIE 1931 table values (CIE 015, 2° observer; from memory) within the fit', () => {
    // λ, x̄, ȳ, z̄ of the published table; the fit's stated error is about 0.02 of the peak
    for (const [nm, x, y, z] of [
      [450, 0.3362, 0.038, 1.7721],
      [500, 0.0049, 0.323, 0.272],
      [555, 0.5121, 1.0, 0.0057],
      [600, 1.0622, 0.631, 0.0008],
      [650, 0.2835, 0.107, 0],
    ]) {
      matching(nm).forEach((v, i) => {
        expect(Math.abs(v - [x, y, z][i])).toBeLessThan(0.035);
      });
    }
  });
});

describe('metal', () => {
  it('a flat polished patch at normal view shows F0, at 82° the stated reflectance', () => {
    const metal = { f0: [0.95, 0.64, 0.3] as Vec3, f82: [0.97, 0.86, 0.7] as Vec3 };
    for (const degrees of [0, 82]) {
      const t = radians(degrees);
      const eye: Vec3 = [0, 100 * Math.sin(t), 100 * Math.cos(t)];
      const scene = bareScene({
        mesh: quadMesh([-500, -500, 0], [1000, 0, 0], [0, 1000, 0]),
        surfaces: [{ alphaX: 0.001, alphaY: 0.001, metal: 0, axis: [0, 0, 1] }],
        colourways: [{ metals: [metal], gems: [] }],
        dome: new Float32Array([1, 1, 1]),
        camera: { eye, target: clear, up: [1, 0, 0], fovY: 0.001, lensRadius: 0, focusDistance: 100 },
      });
      const [values] = film(host, scene, 64);
      const expected = degrees === 0 ? metal.f0 : metal.f82;
      expected.forEach((f, c) => {
        expect(Math.abs(meanOf(values.filter((_, i) => i % 3 === c)) - f)).toBeLessThan(0.004);
      });
    }
  });

  it('the back of a metal surface is black', () => {
    const scene = bareScene({
      mesh: quadMesh([-50, -50, -10], [0, 100, 0], [100, 0, 0]),
      surfaces: [{ alphaX: 0.1, alphaY: 0.1, metal: 0, axis: [0, 0, 1] }],
      colourways: [{ metals: [{ f0: [1, 1, 1], f82: [1, 1, 1] }], gems: [] }],
      dome: new Float32Array([1, 1, 1]),
    });
    expect(meanOf(film(host, scene, 4)[0])).toBe(0);
  });

  it('a rough metal reflects a small light as much by light samples as by lobe samples alone (no light samples below α 0.01)', () => {
    // same light as a dome patch can't be built; instead the even-dome part is replaced: light + dome of equal radiance = 1
    const scene = (lights: RectLight[]): TraceScene =>
      bareScene({
        mesh: quadMesh([-500, -500, -10], [1000, 0, 0], [0, 1000, 0]),
        surfaces: [{ alphaX: 0.3, alphaY: 0.3, metal: 0, axis: [0, 0, 1] }],
        colourways: [{ metals: [{ f0: [1, 1, 1], f82: [1, 1, 1] }], gems: [] }],
        dome: new Float32Array([1, 1, 1]),
        lights,
      });
    const lit = film(host, scene([lightTowards([5, 3, 20], [0, 0, -10], 10, 10, 1)]), 2048)[0];
    expect(Math.abs(meanOf(lit) - 1)).toBeLessThan(0.004);
  });
});
