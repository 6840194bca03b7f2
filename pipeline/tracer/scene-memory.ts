import { COAT_INDEX, type Ground, type Surface, type TraceScene } from '../scene/trace-scene.ts';
import { growTree, type Tree } from './acceleration.ts';
import { albedoTable } from './albedo-table.ts';
import { convexCorners } from './convex-corners.ts';
import * as at from './kernel/layout.ts';
import { bytesOf, MemoryPlan, MemoryView, reserve } from './kernel-memory.ts';
import { gridStretch, layLights } from './light-records.ts';
import { filmPlanes } from './matte.ts';
import { filterTable } from './pixel-filter.ts';
import { laySky, planSky } from './sky-records.ts';
import { waveTable } from './spectrum.ts';
import { layStones, stoneBounds } from './stone-records.ts';
import { cross, scaled, unit } from './vector.ts';

/** pixels on a side of the largest block rendered in one call of the kernel */
export const FILM_SIDE = 64;
/** rays per batch of queries */
export const QUERY_RAYS = 4096;
/** lobes narrower than this sample lights only by chance of reflection: a shadow ray could hardly ever help */
const MIRROR_ALPHA = 0.01;
const LEAST_ALPHA = 1e-3;
/** µm, the sodium D line, where gem tables give their index */
const D_LINE = 0.5893;

const GROUND_KINDS: Record<Ground['kind'], number> = {
  none: at.GROUND_NONE,
  white: at.GROUND_WHITE,
  // traced alike; the matte comes on top
  clear: at.GROUND_WHITE,
  sweep: at.GROUND_SWEEP,
  gloss: at.GROUND_GLOSS,
};

/** Where the loaded scene lies in the kernel's memory, for the host. */
export interface SceneMemory {
  colourways: number;
  /** planes of a film: its colourways, then the matte if there is one */
  planes: number;
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

/**
 * Packs a scene in the order of kernel/layout.ts, growing the memory if it must. Throws RangeError on bad indices.
 * @param kept the tree of a scene with the same mesh, cuts and stones
 */
export function layScene(
  scene: TraceScene,
  memory: WebAssembly.Memory,
  kept?: Tree,
): { laid: SceneMemory; tree: Tree } {
  check(scene);
  const triangles = scene.mesh.indices.length / 3;
  const colourways = scene.colourways.length;
  const cuts = scene.cuts.map((planes) => ({
    blocks: Math.ceil(planes.length / 16),
    corners: convexCorners(planes),
  }));
  const bounds = stoneBounds(scene, cuts);

  // stones and planes come first because the tree's leaves point to them
  const plan = new MemoryPlan(at.HEAP);
  const stonesAt = plan.take(scene.stones.length * at.STONE_BYTES);
  const planesAt = cuts.map((cut) => plan.take(cut.blocks * at.PLANE_BLOCK_BYTES));
  const treeAt = plan.take(0, at.NODE_BYTES);
  const input = { positions: scene.mesh.positions, indices: scene.mesh.indices, stoneBounds: bounds };
  const tree = kept ?? growTree(input, treeAt, stonesAt);
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
  const skyPlaces = planSky(scene, plan);
  const planes = filmPlanes(scene);
  const film = plan.take(FILM_SIDE * FILM_SIDE * Math.max(12 * planes, 4 * at.FEATURES));
  const rays = plan.take(QUERY_RAYS * 24);
  const distances = plan.take(QUERY_RAYS * 4);
  const primitives = plan.take(QUERY_RAYS * 4);

  reserve(memory, plan.end);
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
  view.words(at.METAL_COLOURS_AT, metalColoursAt, gemColoursAt, film, GROUND_KINDS[scene.ground.kind]);
  if (scene.sky && skyPlaces) laySky(view, scene.sky, skyPlaces);
  view.floats(at.COAT, 1 / COAT_INDEX);
  view.words(at.MATTE, planes - colourways);
  layGround(view, scene);
  view.floats(at.BOUND, ...bound);
  view.floats(at.GRID_CENTRE, bound[0], bound[2], gridStretch(scene.lights, bound));
  const laid: SceneMemory = {
    colourways,
    planes,
    triangles,
    stones: scene.stones.length,
    film,
    rays,
    distances,
    primitives,
    size: plan.end,
  };
  return { laid, tree };
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

/** Memory is used again from scene to scene: a smooth surface must say so. */
function layRelief(view: MemoryView, relief: Surface['relief'], record: number): void {
  if (!relief) {
    view.floats(record + at.RELIEF, 0);
    return;
  }
  const { along, across, slopeAlong, slopeAcross, tilt = -1, centre, x, radius } = relief;
  const columns = Math.max(3, Math.round((2 * Math.PI * radius) / along));
  view.floats(record + at.RELIEF, columns, 1 / across, slopeAlong, slopeAcross);
  view.floats(record + at.RELIEF_CENTRE, ...centre, radius);
  view.floats(record + at.RELIEF_X, ...x, tilt);
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
    layRelief(view, s.relief, record);
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

function layGround(view: MemoryView, { ground }: TraceScene): void {
  view.floats(at.LEVEL, ground.level);
  view.floats(at.GROUND_ALBEDO, ...ground.albedo, 0);
  const { paper, rim } = ground;
  if (paper) view.floats(at.PAPER, paper.radius, 1 / paper.fade, paper.beyond);
  if (rim) view.floats(at.RIM, 1 / rim);
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

export function layCamera(view: MemoryView, scene: TraceScene): void {
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
