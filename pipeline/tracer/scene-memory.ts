import type { RectLight, TraceScene, Vec3 } from '../scene/trace-scene.ts';
import { growTree } from './acceleration.ts';
import { albedoTable } from './albedo-table.ts';
import { convexCorners } from './convex-corners.ts';
import * as at from './kernel/layout.ts';
import { filterTable } from './pixel-filter.ts';
import { waveTable } from './spectrum.ts';

/** pixels on a side of the largest block rendered in one call of the kernel */
export const FILM_SIDE = 64;
/** rays per batch of queries */
export const QUERY_RAYS = 4096;
/** lobes narrower than this sample lights only by chance of reflection: a shadow ray could hardly ever help */
const MIRROR_ALPHA = 0.01;
const LEAST_ALPHA = 1e-3;
/** µm, the sodium D line, where gem tables give their index */
const D_LINE = 0.5893;
/** least chance of an emitting light to be picked, in shares of an equal split */
const LEAST_CHANCE = 0.05;

/** Where the loaded scene lies in the kernel's memory, for the host. */
export interface SceneMemory {
  colourways: number;
  triangles: number;
  stones: number;
  /** byte offsets */
  film: number;
  rays: number;
  distances: number;
  primitives: number;
  /** bytes used */
  size: number;
}

/** Packs a scene in the order of kernel/layout.ts, growing the memory if it must. Throws RangeError on bad indices. */
export function layScene(scene: TraceScene, memory: WebAssembly.Memory): SceneMemory {
  check(scene);
  const triangles = scene.mesh.indices.length / 3;
  const colourways = scene.colourways.length;
  const cuts = scene.cuts.map((planes) => ({
    blocks: Math.ceil(planes.length / 16),
    corners: convexCorners(planes),
  }));
  const bounds = stoneBounds(scene, cuts);

  // stones and planes come first because the tree's leaves point to them
  const plan = new Plan(at.HEAP);
  const stonesAt = plan.take(scene.stones.length * at.STONE_BYTES);
  const planesAt = cuts.map((cut) => plan.take(cut.blocks * at.PLANE_BLOCK_BYTES));
  const treeAt = plan.take(0, at.NODE_BYTES);
  const input = { positions: scene.mesh.positions, indices: scene.mesh.indices, stoneBounds: bounds };
  const tree = growTree(input, treeAt, stonesAt);
  plan.take(tree.bytes.byteLength);
  const indicesAt = plan.take(scene.mesh.indices.byteLength);
  const normalsAt = plan.take(scene.mesh.normals.byteLength);
  const triangleSurfaceAt = plan.take(scene.mesh.surface.byteLength);
  const surfacesAt = plan.take(scene.surfaces.length * at.SURFACE_BYTES);
  const albedosAt = plan.take(scene.surfaces.length * at.ALBEDO_MU * at.ALBEDO_TURN * 4);
  const gemsAt = plan.take(scene.gems.length * at.GEM_BYTES);
  const metals = scene.colourways[0].metals.length;
  const metalColoursAt = plan.take(metals * colourways * at.METAL_COLOUR_BYTES);
  const gemColoursAt = plan.take(scene.gems.length * colourways * 16);
  const lightBlocks = Math.ceil(scene.lights.length / 4);
  const lightBlocksAt = plan.take(lightBlocks * at.LIGHT_BLOCK_BYTES);
  const lightsAt = plan.take(scene.lights.length * at.LIGHT_BYTES);
  const domeSteps = scene.dome.length / 3;
  const domeAt = plan.take(domeSteps * 16);
  const film = plan.take(FILM_SIDE * FILM_SIDE * 12 * colourways);
  const rays = plan.take(QUERY_RAYS * 24);
  const distances = plan.take(QUERY_RAYS * 4);
  const primitives = plan.take(QUERY_RAYS * 4);

  const missing = plan.end - memory.buffer.byteLength;
  if (missing > 0) memory.grow(Math.ceil(missing / 65536));
  const view = new MemoryView(memory.buffer);
  view.zero(at.PARAMS, at.STACK);

  view.bytes.set(new Uint8Array(tree.bytes), treeAt);
  view.bytes.set(bytesOf(scene.mesh.indices), indicesAt);
  view.bytes.set(bytesOf(scene.mesh.normals), normalsAt);
  view.bytes.set(bytesOf(scene.mesh.surface), triangleSurfaceAt);
  layStones(view, scene, stonesAt, planesAt, cuts);
  layColours(view, scene, surfacesAt, albedosAt, gemsAt, metalColoursAt, gemColoursAt);
  const bound = boundingSphere(scene.mesh.positions, bounds);
  layLights(view, scene, bound, lightBlocksAt, lightsAt, lightBlocks);
  for (let i = 0; i < domeSteps; i++) {
    view.floats(domeAt + 16 * i, scene.dome[3 * i], scene.dome[3 * i + 1], scene.dome[3 * i + 2], 0);
  }
  layTables(view);
  layCamera(view, scene);

  view.words(at.ROOT, tree.root, triangles, colourways, scene.lights.length);
  view.words(at.LIGHT_BLOCKS, lightBlocks, lightBlocksAt, lightsAt, domeAt, domeSteps);
  view.words(at.SURFACES_AT, surfacesAt, triangleSurfaceAt, indicesAt, normalsAt, stonesAt, gemsAt);
  view.words(at.METAL_COLOURS_AT, metalColoursAt, gemColoursAt, film, scene.ground.kind === 'none' ? 0 : 1);
  view.floats(at.LEVEL, scene.ground.level);
  view.floats(at.BOUND, ...bound);
  view.floats(at.GROUND_ALBEDO, ...scene.ground.albedo, 0);
  view.floats(at.GRID_CENTRE, bound[0], bound[2], gridStretch(scene.lights, bound));
  return {
    colourways,
    triangles,
    stones: scene.stones.length,
    film,
    rays,
    distances,
    primitives,
    size: plan.end,
  };
}

/** Hands out stretches of memory one after another. */
class Plan {
  end: number;

  constructor(start: number) {
    this.end = start;
  }

  take(bytes: number, align = 16): number {
    const start = Math.ceil(this.end / align) * align;
    this.end = start + bytes;
    return start;
  }
}

class MemoryView {
  readonly bytes: Uint8Array;
  private readonly f32: Float32Array;
  private readonly u32: Uint32Array;

  constructor(buffer: ArrayBuffer) {
    this.bytes = new Uint8Array(buffer);
    this.f32 = new Float32Array(buffer);
    this.u32 = new Uint32Array(buffer);
  }

  zero(from: number, to: number): void {
    this.bytes.fill(0, from, to);
  }

  floats(offset: number, ...values: number[]): void {
    this.f32.set(values, offset / 4);
  }

  words(offset: number, ...values: number[]): void {
    this.u32.set(values, offset / 4);
  }

  array(offset: number, values: Float32Array): void {
    this.f32.set(values, offset / 4);
  }
}

function bytesOf(a: Float32Array | Uint32Array | Uint16Array): Uint8Array {
  return new Uint8Array(a.buffer, a.byteOffset, a.byteLength);
}

/** The kernel reads without bounds checks, so every index is checked here. */
function check(scene: TraceScene): void {
  const fail = (what: string): never => {
    throw new RangeError(`trace scene: ${what}`);
  };
  const { mesh, surfaces, cuts, stones, gems, colourways } = scene;
  const vertices = mesh.positions.length / 3;
  const triangles = mesh.indices.length / 3;
  if (mesh.normals.length !== mesh.positions.length) fail('expected one normal a vertex');
  if (mesh.surface.length !== triangles) fail('expected one surface index a triangle');
  for (const i of mesh.indices) if (i >= vertices) fail(`vertex ${i} of ${vertices}`);
  for (const s of mesh.surface) if (s >= surfaces.length) fail(`surface ${s} of ${surfaces.length}`);
  if (colourways.length < 1 || colourways.length > at.MAX_COLOURWAYS) {
    fail(`expected 1 to ${at.MAX_COLOURWAYS} colourways but received ${colourways.length}`);
  }
  const metals = colourways[0].metals.length;
  for (const c of colourways) {
    if (c.metals.length !== metals) fail('expected the same number of metals in every colourway');
    if (c.gems.length !== gems.length) fail('expected a colour for every gem in every colourway');
  }
  for (const s of surfaces) if (!(s.metal < metals)) fail(`metal ${s.metal} of ${metals}`);
  for (const s of stones) {
    if (!(s.cut < cuts.length)) fail(`cut ${s.cut} of ${cuts.length}`);
    if (!(s.gem < gems.length)) fail(`gem ${s.gem} of ${gems.length}`);
  }
  if (scene.dome.length < 3 || scene.dome.length % 3 !== 0) fail('expected RGB triples in the dome');
}

interface Cut {
  blocks: number;
  corners: Float64Array;
}

function stoneBounds(scene: TraceScene, cuts: Cut[]): Float32Array {
  const bounds = new Float32Array(scene.stones.length * 6);
  scene.stones.forEach((stone, s) => {
    const m = stone.toWorld;
    const { corners } = cuts[stone.cut];
    for (let k = 0; k < 3; k++) {
      let low = Infinity;
      let high = -Infinity;
      for (let i = 0; i < corners.length; i += 3) {
        const v =
          m[4 * k] * corners[i] +
          m[4 * k + 1] * corners[i + 1] +
          m[4 * k + 2] * corners[i + 2] +
          m[4 * k + 3];
        if (v < low) low = v;
        if (v > high) high = v;
      }
      // clear of rounding in single precision
      const slack = 1e-5 + 1e-6 * Math.max(Math.abs(low), Math.abs(high));
      bounds[6 * s + k] = low - slack;
      bounds[6 * s + 3 + k] = high + slack;
    }
  });
  return bounds;
}

function layStones(
  view: MemoryView,
  scene: TraceScene,
  stonesAt: number,
  planesAt: number[],
  cuts: Cut[],
): void {
  scene.cuts.forEach((planes, c) => {
    const count = planes.length / 4;
    for (let b = 0; b < cuts[c].blocks * 4; b++) {
      // the last block is filled up with its last plane
      const p = Math.min(b, count - 1) * 4;
      const lane = planesAt[c] + (b >> 2) * at.PLANE_BLOCK_BYTES + (b & 3) * 4;
      for (let k = 0; k < 4; k++) view.floats(lane + 16 * k, planes[p + k]);
    }
  });
  scene.stones.forEach((stone, s) => {
    const m = stone.toWorld;
    const record = stonesAt + s * at.STONE_BYTES;
    for (let k = 0; k < 3; k++) {
      // the rotation's inverse is its transpose
      const shift = -(m[k] * m[3] + m[4 + k] * m[7] + m[8 + k] * m[11]);
      view.floats(record + 16 * k, m[k], m[4 + k], m[8 + k], shift);
      view.floats(record + at.STONE_TO_WORLD + 16 * k, m[4 * k], m[4 * k + 1], m[4 * k + 2], m[4 * k + 3]);
    }
    view.words(record + at.STONE_PLANES_AT, planesAt[stone.cut], cuts[stone.cut].blocks, stone.gem, s);
  });
}

function layColours(
  view: MemoryView,
  scene: TraceScene,
  surfacesAt: number,
  albedosAt: number,
  gemsAt: number,
  metalColoursAt: number,
  gemColoursAt: number,
): void {
  const { colourways } = scene;
  scene.surfaces.forEach((s, i) => {
    const ax = Math.min(Math.max(s.alphaX, LEAST_ALPHA), 1);
    const ay = Math.min(Math.max(s.alphaY, LEAST_ALPHA), 1);
    const record = surfacesAt + i * at.SURFACE_BYTES;
    view.floats(record, ax, ay);
    view.words(record + 8, s.metal, Math.max(ax, ay) < MIRROR_ALPHA ? 1 : 0);
    const albedoAt = albedosAt + i * at.ALBEDO_MU * at.ALBEDO_TURN * 4;
    view.array(albedoAt, albedoTable(at.ALBEDO_MU, at.ALBEDO_TURN, ax, ay));
    view.words(record + 16, albedoAt);
    view.floats(record + 20, ...s.axis);
  });
  // b of F(c) = F0 + (1 − F0)(1 − c)^5 − b c (1 − c)^6, from the reflectance at 82°
  const c = Math.cos((82 * Math.PI) / 180);
  const c5 = (1 - c) ** 5;
  const c6 = c * (1 - c) ** 6;
  for (let m = 0; m < colourways[0].metals.length; m++) {
    colourways.forEach(({ metals }, w) => {
      const { f0, f82 } = metals[m];
      const b = f0.map((f, k) => (f + (1 - f) * c5 - f82[k]) / c6);
      view.floats(metalColoursAt + (m * colourways.length + w) * at.METAL_COLOUR_BYTES, ...f0, 0, ...b, 0);
    });
  }
  scene.gems.forEach(({ cauchyA, cauchyB }, g) => {
    const absorbs = colourways.some((w) => w.gems[g].absorption.some((a) => a > 0));
    const index = cauchyA + cauchyB / (D_LINE * D_LINE);
    view.floats(gemsAt + g * at.GEM_BYTES, cauchyA, cauchyB, index, absorbs ? 1 : 0);
    colourways.forEach((w, i) => {
      view.floats(gemColoursAt + (g * colourways.length + i) * 16, ...w.gems[g].absorption, 0);
    });
  });
}

function layLights(
  view: MemoryView,
  scene: TraceScene,
  bound: number[],
  blocksAt: number,
  lightsAt: number,
  blocks: number,
): void {
  const { lights } = scene;
  const chances = lightChances(lights, bound);
  let upTo = 0;
  lights.forEach((light, i) => {
    const lu = Math.hypot(...light.u);
    const lv = Math.hypot(...light.v);
    const u = scaled(light.u, 1 / lu);
    const v = scaled(light.v, 1 / lv);
    const n = cross(u, v);
    const c = light.centre;
    const lane = blocksAt + (i >> 2) * at.LIGHT_BLOCK_BYTES + (i & 3) * 4;
    const pu = scaled(u, 1 / lu);
    const pv = scaled(v, 1 / lv);
    [...n, dot(n, c), ...pu, dot(pu, c), ...pv, dot(pv, c)].forEach((x, k) => {
      view.floats(lane + 16 * k, x);
    });
    upTo += chances[i];
    const record = lightsAt + i * at.LIGHT_BYTES;
    view.floats(record, ...c, lu, ...u, lu > 0 ? lv : 0, ...v, chances[i], ...n);
    view.floats(record + 60, light.falloff > 0 ? 1 / light.falloff : 0, ...light.radiance, upTo);
  });
  // empty lanes: normal 0 makes the distance NaN or infinite, never a hit
  for (let i = lights.length; i < blocks * 4; i++) {
    const lane = blocksAt + (i >> 2) * at.LIGHT_BLOCK_BYTES + (i & 3) * 4;
    for (let k = 0; k < 12; k++) view.floats(lane + 16 * k, 0);
  }
}

/** In proportion to the irradiance each would give a surface facing it at the scene's centre, none below a least share. */
function lightChances(lights: RectLight[], [x, y, z]: number[]): number[] {
  const power = lights.map((light) => {
    const strength = (light.radiance[0] + light.radiance[1] + light.radiance[2]) / 3;
    if (!(strength > 0)) return 0;
    const to: Vec3 = [light.centre[0] - x, light.centre[1] - y, light.centre[2] - z];
    const n = cross(light.u, light.v);
    const distance = Math.max(Math.hypot(...to), 1e-3);
    const area = 4 * Math.hypot(...n) * (1 - light.falloff / 2) ** 2;
    const facing = Math.max(-dot(n, to) / (Math.hypot(...n) * distance), 0.05);
    return (strength * area * facing) / (distance * distance + area / Math.PI);
  });
  const lit = power.filter((p) => p > 0).length;
  const total = power.reduce((a, b) => a + b, 0);
  const shares = power.map((p) => (p > 0 ? Math.max(p / total, LEAST_CHANCE / lit) : 0));
  const sum = shares.reduce((a, b) => a + b, 0);
  return shares.map((s) => (sum > 0 ? s / sum : 0));
}

/** mm over which the irradiance grid is about even: half the mean distance of the lights */
function gridStretch(lights: RectLight[], [x, y, z]: number[]): number {
  const lit = lights.filter((l) => Math.max(...l.radiance) > 0);
  if (lit.length === 0) return 100;
  const far = lit.map((l) => Math.hypot(l.centre[0] - x, l.centre[1] - y, l.centre[2] - z));
  return Math.max(10, far.reduce((a, b) => a + b, 0) / far.length / 2);
}

function boundingSphere(positions: Float32Array, stones: Float32Array): [number, number, number, number] {
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  const points: Float32Array[] = [positions, stones];
  for (const p of points) {
    for (let i = 0; i < p.length; i++) {
      const k = i % 3;
      if (p[i] < low[k]) low[k] = p[i];
      if (p[i] > high[k]) high[k] = p[i];
    }
  }
  if (!Number.isFinite(low[0])) return [0, 0, 0, 1e-3];
  const c = low.map((l, k) => (l + high[k]) / 2);
  let r = 0;
  for (let i = 0; i < positions.length; i += 3) {
    r = Math.max(r, Math.hypot(positions[i] - c[0], positions[i + 1] - c[1], positions[i + 2] - c[2]));
  }
  for (let i = 0; i < stones.length; i += 6) {
    const far = c.map((x, k) => Math.max(Math.abs(stones[i + k] - x), Math.abs(stones[i + 3 + k] - x)));
    r = Math.max(r, Math.hypot(...far));
  }
  return [c[0], c[1], c[2], r * 1.0001 + 1e-4];
}

let tables: { wave: Float32Array; filter: Float32Array } | undefined;

/** Tables no scene changes; computed once. */
function layTables(view: MemoryView): void {
  tables ??= {
    wave: waveTable(at.WAVE_STEPS),
    filter: filterTable(at.FILTER_STEPS),
  };
  view.array(at.WAVE, tables.wave);
  view.array(at.FILTER, tables.filter);
}

function layCamera(view: MemoryView, scene: TraceScene): void {
  const { eye, target, up, fovY, lensRadius, focusDistance } = scene.camera;
  const forward = unit([target[0] - eye[0], target[1] - eye[1], target[2] - eye[2]]);
  const right = unit(cross(forward, up));
  const above = cross(right, forward);
  const half = Math.tan(fovY / 2);
  const wide = (half * scene.width) / scene.height;
  view.words(at.WIDTH, scene.width, scene.height);
  view.floats(at.LENS_RADIUS, lensRadius, focusDistance);
  view.floats(at.EYE, ...eye, 0);
  view.floats(at.RIGHT, ...scaled(right, wide), 1 / wide);
  view.floats(at.UP, ...scaled(above, half), 1 / half);
  view.floats(at.FORWARD, ...forward, 0);
}

function dot(a: Vec3, b: Vec3): number {
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

function cross(a: Vec3, b: Vec3): Vec3 {
  return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
}

function scaled(a: Vec3, s: number): Vec3 {
  return [a[0] * s, a[1] * s, a[2] * s];
}

function unit(a: Vec3): Vec3 {
  return scaled(a, 1 / Math.hypot(...a));
}
