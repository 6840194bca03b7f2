import { COAT_INDEX, type Ground, type Surface, type TraceScene } from '../scene/trace-scene.ts';
import { growTree, type PackedTree } from './acceleration.ts';
import { albedoTable, meanAlbedo } from './albedo-table.ts';
import { convexCorners } from './convex-corners.ts';
import * as at from './kernel/layout.ts';
import { bytesOf, MemoryPlan, MemoryView, reserve } from './kernel-memory.ts';
import { gridStretch, layLights } from './light-records.ts';
import { filmPlanes } from './matte.ts';
import { filterTable } from './pixel-filter.ts';
import { checkScene } from './scene-check.ts';
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
  /** where colours and finishes lie, which may change while all else stays */
  colours: ColourPlaces;
  /** bytes used */
  size: number;
}

type ColourPlaces = Record<'surfaces' | 'albedos' | 'metalColours' | 'gems' | 'gemColours', number>;

/** What of a scene says how its metals and stones look. */
export type SceneColours = Pick<TraceScene, 'surfaces' | 'gems' | 'colourways'>;

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
  const cuts = scene.cuts.map((planes) => ({
    blocks: Math.ceil(planes.length / 16),
    corners: convexCorners(planes),
  }));
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

const lightBlocksOf = ({ lights }: TraceScene) => Math.ceil(lights.length / 4);

type Places = ReturnType<typeof planPlaces>;

/** Where each part of a scene goes, in bytes, and the tree, whose leaves point to stones and planes: these come first. */
function planPlaces(
  scene: TraceScene,
  cuts: readonly { blocks: number }[],
  bounds: Float32Array,
  kept: PackedTree | undefined,
) {
  const { mesh, surfaces, gems, lights } = scene;
  const plan = new MemoryPlan(at.HEAP);
  const stones = plan.take(scene.stones.length * at.STONE_BYTES);
  const planes = cuts.map((cut) => plan.take(cut.blocks * at.PLANE_BLOCK_BYTES));
  const nodes = plan.take(0, at.NODE_BYTES);
  const input = { positions: mesh.positions, indices: mesh.indices, stoneBounds: bounds };
  const tree = kept ?? growTree(input, nodes, stones);
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
  view.bytes.set(new Uint8Array(places.tree.bytes), places.nodes);
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

const STROKES = { crossed: at.CROSSED, circles: at.CIRCLES };
/** Cells round the ring and across in sizes of marks: strokes lie at 45°, rows of spots as closely as circles lie. */
const STRETCH = { none: [1, 1], crossed: [Math.SQRT2, Math.SQRT2], circles: [1, Math.sqrt(3) / 2] };

/** Memory is used again from scene to scene: a smooth surface must say so. */
function layRelief(view: MemoryView, relief: Surface['relief'], record: number): void {
  if (!relief) {
    view.floats(record + at.RELIEF, 0);
    return;
  }
  const { along, across, slopeAlong, slopeAcross, strokes, centre, x, radius } = relief;
  const { tilt = strokes ? STROKES[strokes] : -1 } = relief;
  const [wide, high] = STRETCH[strokes ?? 'none'];
  const columns = Math.max(3, Math.round((2 * Math.PI * radius) / (along * wide)));
  view.floats(record + at.RELIEF, columns, 1 / (across * high), slopeAlong, slopeAcross);
  view.floats(record + at.RELIEF_CENTRE, ...centre, radius);
  view.floats(record + at.RELIEF_X, ...x, tilt);
}

function layPattern(view: MemoryView, pattern: Surface['pattern'], record: number): void {
  if (!pattern) {
    view.floats(record + at.PATTERN, 0);
    return;
  }
  const { centre, x, radius, seed } = pattern;
  view.floats(record + at.RELIEF_CENTRE, ...centre, radius);
  view.floats(record + at.RELIEF_X, ...x);
  if (pattern.kind === 'layers') {
    const { stackMm, share, turns, barMm, bendMm, bendLengthMm } = pattern;
    view.floats(record + at.PATTERN, at.LAYERED);
    view.floats(record + at.PATTERN_NUMBERS, 1 / stackMm, share, turns, barMm);
    view.floats(record + at.PATTERN_NUMBERS + 16, bendMm, 1 / bendLengthMm, seed, radius);
    return;
  }
  const { ringMm, pithMm, round, poreMm, poreShare, waver } = pattern;
  view.floats(record + at.PATTERN, at.WOODEN);
  view.floats(record + at.PATTERN_NUMBERS, 1 / ringMm, pithMm, round ? 1 : 0, poreMm > 0 ? 1 / poreMm : 0);
  view.floats(record + at.PATTERN_NUMBERS + 16, poreShare, waver, seed, radius);
}

/** Lays colours and finishes, also over those of a loaded scene which has as many of each. */
export function layColours(view: MemoryView, scene: SceneColours, places: ColourPlaces): void {
  const { colourways } = scene;
  scene.surfaces.forEach((s, i) => {
    const ax = Math.min(Math.max(s.alphaX, LEAST_ALPHA), 1);
    const ay = Math.min(Math.max(s.alphaY, LEAST_ALPHA), 1);
    const record = places.surfaces + i * at.SURFACE_BYTES;
    view.floats(record, ax, ay);
    view.words(record + 8, s.metal, Math.max(ax, ay) < MIRROR_ALPHA ? 1 : 0);
    const albedoAt = places.albedos + i * at.ALBEDO_MU * at.ALBEDO_TURN * 4;
    const table = albedoTable(at.ALBEDO_MU, at.ALBEDO_TURN, ax, ay, s.coat);
    view.array(albedoAt, table);
    view.words(record + 16, albedoAt);
    view.floats(record + 20, ...s.axis);
    layRelief(view, s.relief, record);
    const body = s.coat ? 1 / (Math.PI * (1 - meanAlbedo(table, at.ALBEDO_MU, at.ALBEDO_TURN))) : 0;
    view.floats(record + at.COAT_RATIO, s.coat ? 1 / s.coat : 0, body);
    view.words(record + at.OTHER_LAYER, places.surfaces + (s.pattern?.other ?? i) * at.SURFACE_BYTES);
    layPattern(view, s.pattern, record);
  });
  // b of F(c) = F0 + (1 − F0)(1 − c)^5 − b c (1 − c)^6, from the reflectance at 82°
  const c = Math.cos((82 * Math.PI) / 180);
  const c5 = (1 - c) ** 5;
  const c6 = c * (1 - c) ** 6;
  for (let m = 0; m < colourways[0].metals.length; m++) {
    colourways.forEach(({ metals }, w) => {
      const colour = metals[m];
      const record = places.metalColours + (m * colourways.length + w) * at.METAL_COLOUR_BYTES;
      if ('tones' in colour) {
        const [first, second] = colour.tones;
        view.floats(record, ...first, 0, ...second, 0);
        return;
      }
      const { f0, f82 } = colour;
      const b = f0.map((f, k) => (f + (1 - f) * c5 - f82[k]) / c6);
      view.floats(record, ...f0, 0, ...b, 0);
    });
  }
  scene.gems.forEach(({ cauchyA, cauchyB }, g) => {
    const absorbs = colourways.some((w) => w.gems[g].absorption.some((a) => a > 0));
    const index = cauchyA + cauchyB / (D_LINE * D_LINE);
    view.floats(places.gems + g * at.GEM_BYTES, cauchyA, cauchyB, index, absorbs ? 1 : 0);
    colourways.forEach((w, i) => {
      view.floats(places.gemColours + (g * colourways.length + i) * 16, ...w.gems[g].absorption, 0);
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
