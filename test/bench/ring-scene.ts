/**
 * The scene rays are timed on: a band of 65,536 triangles round the y axis, 35 faceted balls on it, a ground of two
 * triangles, 67,638 in all. Rays are made here once, so that every rival gets the same ones in the same order.
 */
import type { TraceScene } from '../../pipeline/scene/trace-scene.ts';
import type { Hits } from '../../pipeline/tracer/kernel-host.ts';
import { numbers } from '../tracer/kernel-fixture.ts';

const AROUND = 512;
const ACROSS = 64;
const BALLS = 35;

export function ringMesh(): TraceScene['mesh'] {
  const positions: number[] = [];
  const indices: number[] = [];
  for (let i = 0; i < AROUND; i++) {
    for (let j = 0; j < ACROSS; j++) {
      const a = (2 * Math.PI * i) / AROUND;
      const b = (2 * Math.PI * j) / ACROSS;
      const r = 9.9 + 0.85 * Math.cos(b);
      positions.push(r * Math.cos(a), 2.3 * Math.sin(b), r * Math.sin(a));
      const at = (k: number, l: number) => (k % AROUND) * ACROSS + (l % ACROSS);
      quad(indices, at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1));
    }
  }
  for (let n = 0; n < BALLS; n++) {
    const a = (2 * Math.PI * n) / BALLS;
    ball(positions, indices, [10.5 * Math.cos(a), 0, 10.5 * Math.sin(a)], 0.8);
  }
  const g = positions.length / 3;
  positions.push(-200, -2.3, -200, 200, -2.3, -200, 200, -2.3, 200, -200, -2.3, 200);
  quad(indices, g, g + 1, g + 2, g + 3);
  return {
    positions: new Float32Array(positions),
    normals: new Float32Array(positions.length),
    indices: new Uint32Array(indices),
    surface: new Uint16Array(indices.length / 3),
  };
}

function quad(indices: number[], a: number, b: number, c: number, d: number): void {
  indices.push(a, b, c, a, c, d);
}

/** Sixty triangles. */
function ball(positions: number[], indices: number[], [x, y, z]: number[], radius: number): void {
  const first = positions.length / 3;
  positions.push(x, y + radius, z, x, y - radius, z);
  for (let k = 1; k < 6; k++) {
    for (let l = 0; l < 6; l++) {
      const t = (Math.PI * k) / 6;
      const p = (Math.PI * l) / 3;
      positions.push(
        x + radius * Math.sin(t) * Math.cos(p),
        y + radius * Math.cos(t),
        z + radius * Math.sin(t) * Math.sin(p),
      );
    }
  }
  const ring = (k: number, l: number) => first + 2 + (k - 1) * 6 + (l % 6);
  for (let l = 0; l < 6; l++) {
    indices.push(first, ring(1, l), ring(1, l + 1), first + 1, ring(5, l + 1), ring(5, l));
    for (let k = 1; k < 5; k++) quad(indices, ring(k, l), ring(k + 1, l), ring(k + 1, l + 1), ring(k, l + 1));
  }
}

/** Camera rays through a square of side × side pixels, one a pixel at a random place in it, row by row. */
export function primaryRays(side: number): Float32Array {
  const random = numbers(7);
  const eye = [0, 25, 40];
  const forward = unit(eye.map((x) => -x));
  const right = unit(cross(forward, [0, 1, 0]));
  const up = cross(right, forward);
  const half = Math.tan((15 * Math.PI) / 180);
  const rays = new Float32Array(side * side * 6);
  for (let i = 0; i < side * side; i++) {
    const x = (((i % side) + random()) / side) * 2 - 1;
    const y = ((Math.floor(i / side) + random()) / side) * 2 - 1;
    rays.set(eye, 6 * i);
    rays.set(unit(forward.map((f, k) => f + half * (x * right[k] + y * up[k]))), 6 * i + 3);
  }
  return rays;
}

/**
 * Rays from wherever the primary rays hit: `incoherent` with the cosine's density about the surface's normal,
 * `occlusion` even over the upper half of the sky.
 */
export function scatteredRays(
  mesh: TraceScene['mesh'],
  rays: Float32Array,
  hits: Hits,
): { incoherent: Float32Array; occlusion: Float32Array } {
  const random = numbers(11);
  const count = hits.primitive.reduce((n, p) => n + (p === 0xffffffff ? 0 : 1), 0);
  const incoherent = new Float32Array(count * 6);
  const occlusion = new Float32Array(count * 6);
  let at = 0;
  for (let i = 0; i < hits.t.length; i++) {
    if (hits.primitive[i] === 0xffffffff) continue;
    const [ox, oy, oz, ...d] = rays.subarray(6 * i, 6 * i + 6);
    let n = faceNormal(mesh, hits.primitive[i]);
    if (n[0] * d[0] + n[1] * d[1] + n[2] * d[2] > 0) n = n.map((x) => -x);
    const from = [ox, oy, oz].map((o, k) => o + hits.t[i] * d[k] + 1e-3 * n[k]);
    const tangent = unit(cross(n, Math.abs(n[0]) > 0.9 ? [0, 1, 0] : [1, 0, 0]));
    const other = cross(n, tangent);
    const u = random();
    const turn = random() * 2 * Math.PI;
    const [c, s] = [Math.sqrt(u) * Math.cos(turn), Math.sqrt(u) * Math.sin(turn)];
    incoherent.set(from, at);
    incoherent.set(
      n.map((x, k) => Math.sqrt(1 - u) * x + c * tangent[k] + s * other[k]),
      at + 3,
    );
    const height = random();
    const azimuth = random() * 2 * Math.PI;
    const flat = Math.sqrt(1 - height * height);
    occlusion.set(from, at);
    occlusion.set([flat * Math.cos(azimuth), height, flat * Math.sin(azimuth)], at + 3);
    at += 6;
  }
  return { incoherent, occlusion };
}

function faceNormal({ positions, indices }: TraceScene['mesh'], triangle: number): number[] {
  const [a, b, c] = [0, 1, 2].map((k) => {
    const v = 3 * indices[3 * triangle + k];
    return [positions[v], positions[v + 1], positions[v + 2]];
  });
  return unit(
    cross(
      b.map((x, k) => x - a[k]),
      c.map((x, k) => x - a[k]),
    ),
  );
}

function cross(a: number[], b: number[]): number[] {
  return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
}

function unit(a: number[]): number[] {
  const l = Math.hypot(...a);
  return a.map((x) => x / l);
}
