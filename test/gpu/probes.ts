/**
 * The card's laws beside the kernel's, function by function on thousands of inputs. Each probe lays out numbers, asks the
 * kernel's window (kernel/probe.ts) for what they come to, and has the same asked on the card. Runs in pages and in Node.
 */
import { seenSquare } from '../../pipeline/tracer/film-error.ts';
import type { Gpu } from '../../pipeline/tracer/gpu/device.ts';
import { GpuQuery } from '../../pipeline/tracer/gpu/gpu-queries.ts';
import { dropScene, loadScene } from '../../pipeline/tracer/gpu/gpu-scene.ts';
import { CLOSEST, OCCLUDED, type Query, query } from '../../pipeline/tracer/gpu/shader/queries.ts';
import { seen } from '../../pipeline/tracer/gpu/shader/seen.ts';
import { GRID, GRID_CENTRE, GRID_STRETCH } from '../../pipeline/tracer/kernel/layout.ts';
import type { KernelHost } from '../../pipeline/tracer/kernel-host.ts';

export interface ProbeResult {
  name: string;
  /** inputs */
  count: number;
  /** largest error and that which 99.9 % stay below, as shares of the value or, below `floor`, of that */
  worst: number;
  most: number;
  /** a value that the kernel has found, to see that it isn't nothing everywhere */
  spread: number;
}

interface Probe {
  name: string;
  query: Query;
  /** inputs and what the kernel says of them */
  numbers(host: KernelHost): { given: number[][]; expected: number[][] };
  /** errors count as shares of values above this */
  floor: number;
}

/** Plain reproducible numbers in [0, 1) (multiply with carry, Marsaglia 2003). */
function generator(seed: number): () => number {
  let z = seed;
  let w = 362436069;
  return () => {
    z = 36969 * (z & 65535) + (z >>> 16);
    w = 18000 * (w & 65535) + (w >>> 16);
    return (((z << 16) + w) >>> 0) / 2 ** 32;
  };
}

const f32 = Math.fround;
const COUNT = 10_000;

/** A unit direction with z above `least`. */
function direction(u: () => number, least: number): number[] {
  const z = least + (1 - least) * u();
  const r = Math.sqrt(1 - z * z);
  const a = 2 * Math.PI * u();
  return [r * Math.cos(a), r * Math.sin(a), z].map(f32);
}

const many = (one: (u: () => number, i: number) => number[], seed: number, count = COUNT) => {
  const u = generator(seed);
  return Array.from({ length: count }, (_, i) => one(u, i).map(f32));
};

/** One answer a call of the kernel. */
const each = (given: number[][], ask: (...g: number[]) => number[]) => ({
  given,
  expected: given.map((g) => ask(...g)),
});

const START = (seed: number, sample: string) =>
  `startPixel(0u, 0u, u32(given_(${seed}u))); startSample(${sample});`;

const NUMBERS = `let a = vec4f(given_(0u), given_(1u), given_(2u), given_(3u));
      let b = vec4f(given_(4u), given_(5u), given_(6u), given_(7u));`;

/** Places of a band in patterns of random numbers, but for those beside a step, where rounding decides. */
function patterns(
  host: KernelHost,
  wood: number,
  seed: number,
  make: (u: () => number, i: number) => number[],
) {
  const { at, values } = host.scratch(8);
  const found = (g: number[], by: number) => {
    values.set(g.slice(0, 8));
    const [x, y, z] = g.slice(8).map((v) => f32(v + by));
    const value = host.kernel.probePattern(wood, at, x, y, z);
    return wood ? value : f32(Math.abs(2 * value - 1));
  };
  const given = many((u, i) => [...make(u, i), 24 * u() - 12, 24 * u() - 12, 6 * u() - 3], seed).filter(
    (g) => Math.max(...[-1e-4, 1e-4].map((by) => Math.abs(found(g, by) - found(g, 0)))) < 0.01,
  );
  return { given, expected: given.map((g) => [found(g, 0)]) };
}

const PROBES: Probe[] = [
  {
    name: 'pairs of the point set',
    floor: 1e-3,
    query: query(
      3,
      2,
      `${START(0, 'u32(given_(2u))')}
      for (var k = 0u; k <= u32(given_(1u)); k++) { draw(); }
      found_(0u, u0); found_(1u, u1);`,
    ),
    numbers(host) {
      const given: number[][] = [];
      const expected: number[][] = [];
      for (let seed = 1; seed <= 20; seed++)
        for (const pair of [0, 1, 3, 24, 45]) {
          const { at, values } = host.scratch(200);
          host.kernel.probePairs(seed, pair, 100, at);
          for (let i = 0; i < 100; i++) {
            given.push([seed, pair, i]);
            expected.push([values[2 * i], values[2 * i + 1]]);
          }
        }
      return { given, expected };
    },
  },
  {
    name: 'visible normals of the lobe, and the plain stream',
    floor: 1,
    query: query(
      7,
      3,
      `${START(5, '0u')}
      let w = vec3f(given_(0u), given_(1u), given_(2u));
      var u = 0.0; var v = 0.0;
      for (var k = 0u; k <= u32(given_(6u)); k++) { u = stream(); v = stream(); }
      let m = sampleNormal(w, vec2f(given_(3u), given_(4u)), u, v);
      let r = 2.0 * dot(w, m) * m - w;
      let up = select(0.0, 1.0, r.z > 0.0);
      found_(0u, up * r.x); found_(1u, up * r.y); found_(2u, up * r.z);`,
    ),
    numbers(host) {
      const given: number[][] = [];
      const expected: number[][] = [];
      const u = generator(11);
      for (let view = 0; view < 500; view++) {
        const w = direction(u, 0.05);
        const alpha = [0.05 + 0.6 * u(), 0.05 + 0.6 * u()].map(f32);
        const { at, values } = host.scratch(60);
        host.kernel.probeLobe(w[0], w[1], w[2], alpha[0], alpha[1], view + 1, 20, at);
        for (let i = 0; i < 20; i++) {
          given.push([...w, ...alpha, view + 1, i]);
          expected.push([...values.subarray(3 * i, 3 * i + 3)]);
        }
      }
      return { given, expected };
    },
  },
  {
    name: 'density and value of the lobe',
    floor: 1e-3,
    query: query(
      8,
      2,
      `let w = vec3f(given_(0u), given_(1u), given_(2u));
      let alpha = vec2f(given_(3u), given_(4u));
      let i = vec3f(given_(5u), given_(6u), given_(7u));
      let h = (i + w) * (1.0 / sqrt(dot(i + w, i + w)));
      let d = distribution(h, alpha);
      found_(0u, d / ((1.0 + lambda(w, alpha)) * 4.0 * w.z));
      found_(1u, d / (1.0 + lambda(w, alpha) + lambda(i, alpha)) / (4.0 * w.z * i.z));`,
    ),
    numbers: ({ kernel }) =>
      each(
        many((u) => [...direction(u, 0.05), 0.05 + 0.6 * u(), 0.05 + 0.6 * u(), ...direction(u, 0.05)], 12),
        (x, y, z, a, b, i, j, k) => [
          kernel.probeLobePdf(x, y, z, a, b, i, j, k),
          kernel.probeLobeValue(x, y, z, a, b, i, j, k),
        ],
      ),
  },
  {
    name: 'directional albedo',
    floor: 1e-3,
    query: query(
      3,
      1,
      `found_(0u, albedo(wordAt(valueU(SURFACES_AT) + 16u), given_(0u), given_(1u), given_(2u)));`,
    ),
    numbers: ({ kernel }) =>
      each(
        many((u) => direction(u, 0.01), 13),
        (x, y, z) => [kernel.probeAlbedo(0, x, y, z)],
      ),
  },
  {
    name: 'coat and body',
    floor: 1e-3,
    query: query(
      6,
      4,
      `let surface = valueU(SURFACES_AT) + SURFACE_BYTES;
      let w = vec3f(given_(0u), given_(1u), given_(2u));
      let coat = coatOf(surface, w, vec2f(floatAt(surface), floatAt(surface + 4u)));
      let b = weigh(coat, vec3f(given_(3u), given_(4u), given_(5u)), false);
      found_(0u, b.x); found_(1u, b.y); found_(2u, b.z); found_(3u, mirrorShare(coat, w.z, w));`,
    ),
    numbers(host) {
      const { at, values } = host.scratch(4);
      return each(
        many((u) => [...direction(u, 0.05), ...direction(u, 0.05)], 23),
        (x, y, z, i, j, k) => {
          host.kernel.probeBody(1, x, y, z, i, j, k, at);
          return [...values];
        },
      );
    },
  },
  {
    name: 'layers of two metals',
    floor: 1,
    // as a wave without steps: rounding may put a place on either side of an edge
    query: query(
      11,
      1,
      `${NUMBERS}
      found_(0u, abs(2.0 * layerAt(a, b, vec3f(given_(8u), given_(9u), given_(10u))) - 1.0));`,
    ),
    numbers: (host) =>
      patterns(host, 0, 24, (u) => [
        0.2 + 0.4 * u(),
        0.5,
        Math.floor(3 * u()),
        2 * u(),
        0.4 * u(),
        0.3 + 0.5 * u(),
        Math.floor(1e6 * u()),
        10,
      ]),
  },
  {
    name: 'tones of wood',
    floor: 1,
    query: query(11, 1, `${NUMBERS} found_(0u, woodAt(a, b, vec3f(given_(8u), given_(9u), given_(10u))));`),
    numbers: (host) =>
      patterns(host, 1, 25, (u, i) => [
        0.3 + 0.5 * u(),
        8 + 8 * u(),
        i % 2,
        2 * u(),
        0.4 * u(),
        u(),
        Math.floor(1e6 * u()),
        10,
      ]),
  },
  {
    name: 'reflectance of a dielectric',
    floor: 1e-2,
    query: query(2, 1, 'found_(0u, fresnel(given_(0u), given_(1u)));'),
    numbers: ({ kernel }) =>
      each(
        many((u, i) => [0.01 + 0.99 * u(), i % 2 ? 1.3 + 1.4 * u() : 1 / (1.3 + 1.4 * u())], 14),
        (c, ratio) => [kernel.fresnel(c, ratio)],
      ),
  },
  {
    name: 'wavelengths',
    floor: 1e-2,
    query: query(1, 4, 'let w = wave(given_(0u)); for (var k = 0u; k < 4u; k++) { found_(k, w[k]); }'),
    numbers(host) {
      const { at, values } = host.scratch(4);
      return each(
        many((u) => [u()], 15),
        (u) => {
          host.kernel.probeWave(u, at);
          return [...values];
        },
      );
    },
  },
  {
    name: 'absorption',
    floor: 1e-6,
    query: query(1, 1, 'found_(0u, decay(vec3f(given_(0u))).x);'),
    numbers: ({ kernel }) =>
      each(
        many((u) => [-12 * u()], 16),
        (x) => [kernel.probeDecay(x)],
      ),
  },
  {
    name: 'light samples with both densities',
    floor: 1e-2,
    query: query(
      5,
      5,
      `${START(3, '0u')}
      let p = vec3f(given_(0u), given_(1u), given_(2u));
      var a = 0.0; var b = 0.0;
      for (var k = 0u; k <= u32(given_(4u)); k++) { a = stream(); b = stream(); }
      if (sampleLight(p, a, b)) {
        let pdf = toPdf;
        let d = toward;
        found_(0u, d.x); found_(1u, d.y); found_(2u, d.z); found_(3u, pdf);
        nearestLight(p, d, FAR);
        var again = 0.0;
        if (lightIndex >= 0) { again = lightPdf(u32(lightIndex), p, d, lightT); }
        else if (valueF(SKY_CHANCE) > 0.0) { again = valueF(SKY_CHANCE) * skyPdf(d); }
        found_(4u, again);
      } else { for (var k = 0u; k < 5u; k++) { found_(k, 0.0); } }`,
    ),
    numbers(host) {
      const given: number[][] = [];
      const expected: number[][] = [];
      const u = generator(17);
      for (let place = 0; place < 500; place++) {
        const p = [30 * u() - 15, 20 * u(), 30 * u() - 15].map(f32);
        const { at, values } = host.scratch(100);
        values.fill(0);
        host.kernel.probeLights(p[0], p[1], p[2], place + 1, 20, at);
        for (let i = 0; i < 20; i++) {
          given.push([...p, place + 1, i]);
          const found = values.subarray(5 * i, 5 * i + 5);
          expected.push(found[3] > 0 ? [...found] : [0, 0, 0, 0, 0]);
        }
      }
      return { given, expected };
    },
  },
  {
    name: 'light that rectangles give',
    floor: 1e-2,
    query: query(3, 1, 'found_(0u, emitted(u32(given_(0u)), given_(1u), given_(2u)).x);'),
    numbers: ({ kernel }) =>
      each(
        many((u, i) => [i % 2, 2 * u() - 1, 2 * u() - 1], 18),
        (l, a, b) => [kernel.probeEmitted(l, a, b)],
      ),
  },
  {
    name: 'light on the ground, at the nodes of its grid',
    floor: 1e-3,
    query: query(
      2,
      3,
      'let e = irradiance(given_(0u), given_(1u)); found_(0u, e.x); found_(1u, e.y); found_(2u, e.z);',
    ),
    numbers(host) {
      const { bytes } = host.image();
      const [cx, cz] = new Float32Array(bytes, GRID_CENTRE, 2);
      const [stretch] = new Float32Array(bytes, GRID_STRETCH, 1);
      const node = (i: number) => {
        const g = (2 * i) / (GRID - 1) - 1;
        return (g * stretch) / (1 - Math.abs(g));
      };
      const given: number[][] = [];
      for (let j = 1; j < GRID - 1; j++)
        for (let i = 1; i < GRID - 1; i++) given.push([f32(cx + node(i)), f32(cz + node(j))]);
      const { at, values } = host.scratch(4);
      return each(given, (x, z) => {
        host.kernel.probeIrradiance(x, z, at);
        return [values[0], values[1], values[2]];
      });
    },
  },
  {
    name: 'the way out of a stone',
    floor: 0.1,
    query: query(
      6,
      1,
      `let stone = valueU(STONES_AT);
      let l = vec3f(given_(0u), given_(1u), given_(2u));
      let e = vec3f(given_(3u), given_(4u), given_(5u));
      found_(0u, facet(wordAt(stone + STONE_PLANES_AT), wordAt(stone + STONE_PLANE_BLOCKS), l, e).t);`,
    ),
    numbers(host) {
      const { at, values } = host.scratch(6);
      const given = many((u) => {
        const [x, y, z] = direction(u, -1);
        return [u() - 0.5, u() - 0.5, 0.4 * u() - 0.2, x, y, z];
      }, 19);
      return each(given, (...ray) => {
        values.set(ray);
        return [host.kernel.probeLeave(0, at, 1)];
      });
    },
  },
  {
    name: 'what is nearest',
    floor: 1,
    query: CLOSEST,
    numbers(host) {
      const given = rays(20);
      const { t } = host.closest(new Float32Array(given.flat()));
      // of which thing is left to the distance: on an edge either neighbour will do
      return { given, expected: Array.from(t, (d) => [d < 1e30 ? d : 3e38, Number.NaN]) };
    },
  },
  {
    name: 'whether anything is in the way',
    floor: 1,
    query: OCCLUDED,
    numbers(host) {
      const given = rays(21);
      return { given, expected: Array.from(host.occluded(new Float32Array(given.flat())), (x) => [x]) };
    },
  },
  {
    name: 'what a viewer sees of an error',
    floor: 1e-3,
    query: {
      ...query(
        6,
        1,
        `found_(0u, seenSquare(vec3f(given_(0u), given_(1u), given_(2u)), vec3f(given_(3u), given_(4u), given_(5u))));`,
      ),
      extra: seen,
    },
    numbers: () =>
      each(
        many((u) => {
          const bright = 4 * u() ** 3;
          const colour = () => bright * (0.2 + 0.8 * u());
          const error = () => 0.02 * (u() - 0.5);
          return [colour(), colour(), colour(), error(), error(), error()];
        }, 22),
        (...g) => [seenSquare(g[0], g[1], g[2], g[3], g[4], g[5])],
      ),
  },
];

/** Rays from about the scene to somewhere near its middle. */
const rays = (seed: number) =>
  many((u) => {
    const [x, y, z] = direction(u, -1);
    const from = [25 * x, 10 + 25 * y, 25 * z];
    const to = [24 * u() - 12, 22 * u(), 14 * u() - 7];
    const d = to.map((t, k) => t - from[k]);
    const length = Math.hypot(...d);
    return [...from, ...d.map((v) => v / length)];
  }, seed);

/** Asks both of every law for the scene that `host` has loaded. */
export async function runProbes(gpu: Gpu, host: KernelHost): Promise<ProbeResult[]> {
  const scene = loadScene(gpu, host.image());
  const results: ProbeResult[] = [];
  for (const probe of PROBES) {
    const { given, expected } = probe.numbers(host);
    const asked = await GpuQuery.open(gpu, scene, probe.query, new Float32Array(given.flat()));
    await asked.run();
    const found = await asked.read();
    results.push({ name: probe.name, count: given.length, ...judged(probe, expected, found) });
  }
  dropScene(scene);
  return results;
}

function judged({ query: { outputs }, floor }: Probe, expected: number[][], found: Float32Array) {
  const errors: number[] = [];
  let least = Number.POSITIVE_INFINITY;
  let largest = Number.NEGATIVE_INFINITY;
  expected.forEach((values, i) => {
    let worst = 0;
    values.forEach((value, k) => {
      if (Number.isNaN(value)) return;
      const error = Math.abs(found[i * outputs + k] - value) / Math.max(Math.abs(value), floor);
      worst = Math.max(worst, Number.isNaN(error) ? Number.POSITIVE_INFINITY : error);
      if (value < 1e30) {
        least = Math.min(least, value);
        largest = Math.max(largest, value);
      }
    });
    errors.push(worst);
  });
  errors.sort((a, b) => a - b);
  return {
    worst: errors[errors.length - 1],
    most: errors[Math.floor(0.999 * errors.length)],
    spread: largest - least,
  };
}
