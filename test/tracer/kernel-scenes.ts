/** Scenes and shapes for tests of the kernel, and what they are judged by; runs in a browser too. */
import type {
  Colourway,
  RectLight,
  StoneInstance,
  TraceScene,
  Vec3,
} from '../../pipeline/scene/trace-scene.ts';
import type { KernelHost } from '../../pipeline/tracer/kernel-host.ts';

export const perfectMirror: Colourway = { metals: [{ f0: [1, 1, 1], f82: [1, 1, 1] }], gems: [] };

/** Nothing but a camera at the origin looking along −z; tests add what they need. */
export function bareScene(parts: Partial<TraceScene>): TraceScene {
  return {
    mesh: {
      positions: new Float32Array(0),
      normals: new Float32Array(0),
      indices: new Uint32Array(0),
      surface: new Uint16Array(0),
    },
    surfaces: [],
    cuts: [],
    stones: [],
    gems: [],
    lights: [],
    dome: new Float32Array([0, 0, 0]),
    ground: { kind: 'none', albedo: [0, 0, 0], level: 0 },
    camera: {
      eye: [0, 0, 0],
      target: [0, 0, -1],
      up: [0, 1, 0],
      fovY: 0.02,
      lensRadius: 0,
      focusDistance: 1,
    },
    width: 8,
    height: 8,
    colourways: [{ metals: [], gems: [] }],
    ...parts,
  };
}

export function lightTowards(
  centre: Vec3,
  target: Vec3,
  halfU: number,
  halfV: number,
  radiance: number,
  falloff = 0,
): RectLight {
  const f = unit(minus(target, centre));
  const u = unit(cross(Math.abs(f[1]) > 0.9 ? [1, 0, 0] : [0, 1, 0], f));
  const v = cross(f, u);
  return {
    centre,
    u: u.map((x) => x * halfU) as Vec3,
    v: v.map((x) => x * halfV) as Vec3,
    radiance: [radiance, radiance, radiance],
    falloff,
  };
}

/** Half-spaces of an axis-parallel box. */
export function boxPlanes(x: number, y: number, z: number): Float32Array {
  return new Float32Array([1, 0, 0, x, -1, 0, 0, x, 0, 1, 0, y, 0, -1, 0, y, 0, 0, 1, z, 0, 0, -1, z]);
}

/** A round brilliant of common proportions (crown 34.5°, pavilion 40.75°, table 56 %), table towards +z. */
export function brilliantPlanes(diameter: number): Float32Array {
  const r = diameter / 2;
  const girdle = 0.02 * diameter;
  const table = 0.56 * r;
  const crown = (r - table) * Math.tan(radians(34.5));
  const planes: number[] = [0, 0, 1, girdle + crown];
  const put = (slope: number, azimuth: number, up: number, rho: number, height: number): void => {
    const s = Math.sin(radians(slope));
    const c = Math.cos(radians(slope));
    planes.push(s * Math.cos(azimuth), s * Math.sin(azimuth), c * up, s * rho + c * height);
  };
  for (let i = 0; i < 8; i++) {
    put(34.5, (i * Math.PI) / 4, 1, r, girdle);
    put(22, ((i + 0.5) * Math.PI) / 4, 1, table * 0.965, girdle + crown);
    put(40.75, (i * Math.PI) / 4, -1, r, girdle);
  }
  for (let i = 0; i < 16; i++) {
    put(41, ((i + 0.5) * Math.PI) / 8, 1, r * 0.985, girdle);
    put(42.2, ((i + 0.5) * Math.PI) / 8, -1, r * 0.99, girdle);
    planes.push(Math.cos((i * Math.PI) / 8), Math.sin((i * Math.PI) / 8), 0, r);
  }
  return new Float32Array(planes);
}

export function stoneAt(at: Vec3, rows = [1, 0, 0, 0, 1, 0, 0, 0, 1], cut = 0, gem = 0): StoneInstance {
  const [a, b, c, d, e, f, g, h, i] = rows;
  return { cut, gem, toWorld: new Float32Array([a, b, c, at[0], d, e, f, at[1], g, h, i, at[2]]) };
}

/** Rotation rows for an angle (radians) about x, then about z. */
export function turned(aboutX: number, aboutZ: number): number[] {
  const c = Math.cos(aboutX);
  const s = Math.sin(aboutX);
  const k = Math.cos(aboutZ);
  const l = Math.sin(aboutZ);
  return [k, -l * c, l * s, l, k * c, -k * s, 0, s, c];
}

/** Closed band of elliptical section about the z axis: radius, half thickness, half width, height of the axis. */
export function bandMesh(
  radius: number,
  thick: number,
  wide: number,
  height: number,
  around = 192,
  across = 48,
): TraceScene['mesh'] {
  const positions: number[] = [];
  const normals: number[] = [];
  const indices: number[] = [];
  for (let i = 0; i < around; i++) {
    const t = (i / around) * 2 * Math.PI;
    for (let j = 0; j < across; j++) {
      const p = (j / across) * 2 * Math.PI;
      const r = radius + thick * Math.cos(p);
      positions.push(r * Math.cos(t), height + r * Math.sin(t), wide * Math.sin(p));
      const n = unit([
        (Math.cos(p) / thick) * Math.cos(t),
        (Math.cos(p) / thick) * Math.sin(t),
        Math.sin(p) / wide,
      ]);
      normals.push(...n);
      const a = i * across + j;
      const b = ((i + 1) % around) * across + j;
      const c = ((i + 1) % around) * across + ((j + 1) % across);
      const d = i * across + ((j + 1) % across);
      indices.push(a, b, c, a, c, d);
    }
  }
  return meshOf(positions, normals, indices);
}

export function sphereMesh(radius: number, centre: Vec3, rows = 96): TraceScene['mesh'] {
  const positions: number[] = [];
  const normals: number[] = [];
  const indices: number[] = [];
  const columns = rows * 2;
  for (let j = 0; j <= rows; j++) {
    const t = (j / rows) * Math.PI;
    for (let i = 0; i <= columns; i++) {
      const p = (i / columns) * 2 * Math.PI;
      const n: Vec3 = [Math.sin(t) * Math.cos(p), Math.cos(t), -Math.sin(t) * Math.sin(p)];
      normals.push(...n);
      positions.push(centre[0] + radius * n[0], centre[1] + radius * n[1], centre[2] + radius * n[2]);
      if (j === rows || i === columns) continue;
      const a = j * (columns + 1) + i;
      const b = a + columns + 1;
      if (j > 0) indices.push(a, b, a + 1);
      if (j < rows - 1) indices.push(a + 1, b, b + 1);
    }
  }
  return meshOf(positions, normals, indices);
}

/** A rectangle from its corner and two edges, facing cross(edgeA, edgeB). */
export function quadMesh(corner: Vec3, a: Vec3, b: Vec3): TraceScene['mesh'] {
  const n = unit(cross(a, b));
  const at = (s: number, t: number): Vec3 => [0, 1, 2].map((k) => corner[k] + s * a[k] + t * b[k]) as Vec3;
  return meshOf(
    [...at(0, 0), ...at(1, 0), ...at(1, 1), ...at(0, 1)],
    [...n, ...n, ...n, ...n],
    [0, 1, 2, 0, 2, 3],
  );
}

export function meshOf(positions: number[], normals: number[], indices: number[]): TraceScene['mesh'] {
  return {
    positions: new Float32Array(positions),
    normals: new Float32Array(normals),
    indices: new Uint32Array(indices),
    surface: new Uint16Array(indices.length / 3),
  };
}

/** The film as mean per sample: one array per colourway. */
export function film(host: KernelHost, scene: TraceScene, samples: number, seed = 1): Float32Array[] {
  host.load(scene);
  const n = scene.width * scene.height * 3;
  const rgb = new Float32Array(n * host.colourways);
  host.render(0, 0, scene.width, scene.height, 0, samples, seed, rgb);
  return Array.from({ length: host.colourways }, (_, c) =>
    rgb.subarray(c * n, (c + 1) * n).map((v) => v / samples),
  );
}

export function meanOf(values: ArrayLike<number>): number {
  let sum = 0;
  for (let i = 0; i < values.length; i++) sum += values[i];
  return sum / values.length;
}

/** Repeatable random numbers in [0, 1) for the tests themselves (mulberry32, public domain). */
export function numbers(seed: number): () => number {
  let a = seed >>> 0;
  return () => {
    a = (a + 0x6d2b79f5) >>> 0;
    let t = Math.imul(a ^ (a >>> 15), 1 | a);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

/**
 * Standard normal deviate of a χ² statistic (Wilson & Hilferty 1931): above 4 means the counts don't follow the
 * expectation (chance 3e-5). Cells expecting fewer than 10 are pooled.
 */
export function chiSquared(counts: number[], expected: number[]): number {
  let statistic = 0;
  let cells = 0;
  let pooledCount = 0;
  let pooledExpected = 0;
  for (let i = 0; i < counts.length; i++) {
    if (expected[i] < 10) {
      pooledCount += counts[i];
      pooledExpected += expected[i];
    } else {
      statistic += (counts[i] - expected[i]) ** 2 / expected[i];
      cells++;
    }
  }
  if (pooledExpected >= 1) {
    statistic += (pooledCount - pooledExpected) ** 2 / pooledExpected;
    cells++;
  }
  const k = cells - 1;
  return (Math.cbrt(statistic / k) - (1 - 2 / (9 * k))) / Math.sqrt(2 / (9 * k));
}

export function radians(degrees: number): number {
  return (degrees * Math.PI) / 180;
}

export function minus(a: Vec3, b: Vec3): Vec3 {
  return [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
}

export function cross(a: Vec3, b: Vec3): Vec3 {
  return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
}

export function unit(a: Vec3): Vec3 {
  const l = Math.hypot(...a);
  return [a[0] / l, a[1] / l, a[2] / l];
}
