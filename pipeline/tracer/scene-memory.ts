import { COAT_INDEX, type Ground, type TraceScene } from '../scene/trace-scene.ts';
import { growTree, type PackedTree, type TreeInput, type TreePlace } from './acceleration.ts';
import { type ColourPlaces, layColours } from './colour-records.ts';
import { convexCorners } from './convex-corners.ts';
import * as at from './kernel/layout.ts';
import { bytesOf, MemoryPlan, MemoryView, reserve } from './kernel-memory.ts';
import { gridStretch, layLights } from './light-records.ts';
import { filmPlanes } from './matte.ts';
import { filterTable } from './pixel-filter.ts';
import { checkScene } from './scene-check.ts';
import { laySky, planSky } from './sky-records.ts';
import { waveTable } from './spectrum.ts';
import { layStones, type PackedCut, stoneBounds } from './stone-records.ts';
import { cross, scaled, unit } from './vector.ts';

/** pixels on a side of the largest block rendered in one call of the kernel */
export const FILM_SIDE = 64;
/** rays per batch of queries */
export const QUERY_RAYS = 4096;

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
  /** where colours and finishes lie, which may change while all else stays */
  colours: ColourPlaces;
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
  kept?: PackedTree,
): { laid: SceneMemory; tree: PackedTree } {
  checkScene(scene);
  const cuts = packedCuts(scene);
  const bounds = stoneBounds(scene, cuts);
  const places = planPlaces(scene, cuts, bounds, kept);
  reserve(memory, places.end);
  const view = new MemoryView(memory.buffer);
  view.zero(at.PARAMS, at.STACK);
  layMesh(view, scene, places);
  layStones(view, scene, places.stones, places.planes, cuts);
  layColours(view, scene, places);
  const bound = boundingSphere(scene.mesh.positions, bounds);
  layLights(view, scene, bound, places.lightBlocks, places.lights, lightBlocksOf(scene));
  layDome(view, scene, places.dome);
  layTables(view);
  layCamera(view, scene);
  layParameters(view, scene, places);
  if (scene.sky && places.sky) laySky(view, scene.sky, places.sky);
  layGround(view, scene);
  view.floats(at.BOUND, ...bound);
  view.floats(at.GRID_CENTRE, bound[0], bound[2], gridStretch(scene.lights, bound));
  const { film, rays, distances, primitives, end, tree } = places;
  const { surfaces, albedos, metalColours, gems, gemColours } = places;
  const laid: SceneMemory = {
    colourways: scene.colourways.length,
    planes: filmPlanes(scene),
    triangles: scene.mesh.indices.length / 3,
    stones: scene.stones.length,
    film,
    rays,
    distances,
    primitives,
    colours: { surfaces, albedos, metalColours, gems, gemColours },
    size: end,
  };
  return { laid, tree };
}

/** What the tree of a scene is grown of, and where it will lie: for those who grow it together. */
export function treeOf(scene: TraceScene): { input: TreeInput; place: TreePlace } {
  const cuts = packedCuts(scene);
  const { positions, indices } = scene.mesh;
  const { stones, nodes } = planTree(scene, cuts, new MemoryPlan(at.HEAP));
  return {
    input: { positions, indices, stoneBounds: stoneBounds(scene, cuts) },
    place: { base: nodes, stones },
  };
}

function packedCuts({ cuts }: TraceScene): PackedCut[] {
  return cuts.map((planes) => ({ blocks: Math.ceil(planes.length / 16), corners: convexCorners(planes) }));
}

/** Stones and planes come first, since a tree's leaves point to them. */
function planTree({ stones }: TraceScene, cuts: readonly PackedCut[], plan: MemoryPlan) {
  return {
    stones: plan.take(stones.length * at.STONE_BYTES),
    planes: cuts.map((cut) => plan.take(cut.blocks * at.PLANE_BLOCK_BYTES)),
    nodes: plan.take(0, at.NODE_BYTES),
  };
}

const lightBlocksOf = ({ lights }: TraceScene) => Math.ceil(lights.length / 4);

type Places = ReturnType<typeof planPlaces>;

/** Where each part of a scene goes, in bytes, and the tree. */
function planPlaces(
  scene: TraceScene,
  cuts: readonly PackedCut[],
  bounds: Float32Array,
  kept: PackedTree | undefined,
) {
  const { mesh, surfaces, gems, lights } = scene;
  const plan = new MemoryPlan(at.HEAP);
  const { stones, planes, nodes } = planTree(scene, cuts, plan);
  const input = { positions: mesh.positions, indices: mesh.indices, stoneBounds: bounds };
  const tree = kept ?? growTree(input, { base: nodes, stones });
  plan.take(tree.bytes.byteLength);
  const colourways = scene.colourways.length;
  // taken in this order
  const places = {
    stones,
    planes,
    nodes,
    tree,
    indices: plan.take(mesh.indices.byteLength),
    normals: plan.take(mesh.normals.byteLength),
    triangleSurface: plan.take(mesh.surface.byteLength),
    surfaces: plan.take(surfaces.length * at.SURFACE_BYTES),
    albedos: plan.take(surfaces.length * at.ALBEDO_MU * at.ALBEDO_TURN * 4),
    gems: plan.take(gems.length * at.GEM_BYTES),
    metalColours: plan.take(scene.colourways[0].metals.length * colourways * at.METAL_COLOUR_BYTES),
    gemColours: plan.take(gems.length * colourways * 16),
    lightBlocks: plan.take(lightBlocksOf(scene) * at.LIGHT_BLOCK_BYTES),
    lights: plan.take(lights.length * at.LIGHT_BYTES),
    dome: plan.take((scene.dome.length / 3) * 16),
    sky: planSky(scene, plan),
    film: plan.take(FILM_SIDE * FILM_SIDE * Math.max(12 * filmPlanes(scene), 4 * at.FEATURES)),
    rays: plan.take(QUERY_RAYS * 24),
    distances: plan.take(QUERY_RAYS * 4),
    primitives: plan.take(QUERY_RAYS * 4),
  };
  return { ...places, end: plan.end };
}

function layMesh(view: MemoryView, { mesh }: TraceScene, places: Places): void {
  view.bytes.set(places.tree.bytes, places.nodes);
  view.bytes.set(bytesOf(mesh.indices), places.indices);
  view.bytes.set(bytesOf(mesh.normals), places.normals);
  view.bytes.set(bytesOf(mesh.surface), places.triangleSurface);
}

function layDome(view: MemoryView, { dome }: TraceScene, place: number): void {
  for (let i = 0; i < dome.length / 3; i++)
    view.floats(place + 16 * i, dome[3 * i], dome[3 * i + 1], dome[3 * i + 2], 0);
}

/** Counts and places by which the kernel finds the rest. */
function layParameters(view: MemoryView, scene: TraceScene, places: Places): void {
  const { mesh, lights, dome, ground } = scene;
  const colourways = scene.colourways.length;
  view.words(at.ROOT, places.tree.root, mesh.indices.length / 3, colourways, lights.length);
  view.words(
    at.LIGHT_BLOCKS,
    lightBlocksOf(scene),
    places.lightBlocks,
    places.lights,
    places.dome,
    dome.length / 3,
  );
  view.words(
    at.SURFACES_AT,
    places.surfaces,
    places.triangleSurface,
    places.indices,
    places.normals,
    places.stones,
    places.gems,
  );
  view.words(
    at.METAL_COLOURS_AT,
    places.metalColours,
    places.gemColours,
    places.film,
    GROUND_KINDS[ground.kind],
  );
  view.floats(at.COAT, 1 / COAT_INDEX);
  view.words(at.MATTE, filmPlanes(scene) - colourways);
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
