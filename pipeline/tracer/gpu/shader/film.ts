/**
 * Passes over the film. Samples are followed (steps.ts), and the light of each is left aside; `fold` adds these to the film
 * and measures its noise, as film-error.ts and half-split.ts do for the processor's passes.
 *
 * Samples are added in their order, so that a film's bits depend on the adapter's arithmetic only.
 */

import { group, groupsOf, laneNames } from './colours.ts';
import { seen } from './seen.ts';

/** Tiles' edge: that of film-state.ts, which can't be otherwise without these shaders */
const TILE = 16;

/**
 * Jobs of a pass that are under way at a time, so that the card has runs to begin while the last ones of others are followed,
 * which takes longer than to begin those of a job.
 */
export const PORTIONS = 8;

const PORTION_FIELDS = [
  /** place of the first tile in the list */
  'first',
  /** samples of a pixel that a slot follows one after another, and whose light is left as one */
  'run',
  /** of all tiles, those outside the frame too */
  'runs',
  /** runs of the jobs before */
  'before',
] as const;

/** What a pass asks of a batch of planes; as it lies in the uniform buffer after the portions. */
const JOB_FIELDS = [
  'seed',
  /** samples: half A from start up to middle, half B on to end */
  'start',
  'middle',
  'end',
  /** runs of all jobs that have begun */
  'begun',
  /** the portion that is to be folded */
  'folds',
  /** groups of light that a portion has room for */
  'room',
  /** first plane of the batch */
  'colour',
  /** paths that are followed at a time */
  'slots',
  'width',
  'height',
  'tilesX',
  /** samples of both halves when this block is in */
  'countA',
  'countB',
] as const;

export type Portion = Record<(typeof PORTION_FIELDS)[number], number>;

export interface Job extends Record<(typeof JOB_FIELDS)[number], number> {
  portions: Partial<Portion>[];
}

/** Structures of a uniform buffer are of sixteen bytes. */
export const JOB_BYTES = 16 * (PORTIONS + Math.ceil(JOB_FIELDS.length / 4));

/** What is not told is 0. */
export function jobWords(job: Partial<Job>): Uint32Array<ArrayBuffer> {
  const portions = Array.from({ length: PORTIONS }, (_, k) => job.portions?.[k] ?? {});
  return Uint32Array.from([
    ...portions.flatMap((portion) => PORTION_FIELDS.map((name) => portion[name] ?? 0)),
    ...JOB_FIELDS.map((name) => job[name] ?? 0),
  ]);
}

const asFields = (names: readonly string[]) => names.map((name) => `${name}: u32`).join(', ');

export const job = /* wgsl */ `
struct Portion { ${asFields(PORTION_FIELDS)} }
struct Job { portions: array<Portion, ${PORTIONS}>, ${asFields(JOB_FIELDS)} }
@group(0) @binding(3) var<uniform> job: Job;
const TILE: u32 = ${TILE}u;
const TILE_PIXELS: u32 = TILE * TILE;
`;

/** Planes of a batch: colourways, and the matte where it is the last. */
export interface BatchPlanes {
  colourways: number;
  matte: boolean;
}

/** Groups of a sample's light, the matte by itself, and the bytes that they take. */
export function partsOf({ colourways, matte }: BatchPlanes) {
  const { lanes, groups } = groupsOf(colourways);
  const all = (colourways === 0 ? 0 : groups) + (matte ? 1 : 0);
  return { lanes, groups: colourways === 0 ? 0 : groups, all, bytes: all * lanes * 12 };
}

export const partBytes = (batch: BatchPlanes): number => partsOf(batch).bytes;

export const fold = (batch: BatchPlanes) => {
  const { colourways, matte } = batch;
  const { lanes, groups, all } = partsOf(batch);
  const planes = colourways + (matte ? 1 : 0);
  const each = laneNames(lanes);
  // of the last group some colourways, and of the matte's all but the first, stand for nothing
  const stands = (k: number) => {
    if (k === 0) return 'true';
    const colours = colourways % lanes === 0 ? 'true' : `plane + ${k}u < ${colourways}u`;
    return matte ? `group < ${groups}u && ${colours}` : colours;
  };
  return /* wgsl */ `
${group(colourways)}
${seen}
@group(0) @binding(4) var<storage, read> tiles: array<u32>;
@group(0) @binding(5) var<storage, read> parts: array<Colours>;
/* RGB of plane, row, column */
@group(0) @binding(6) var<storage, read_write> sum: array<f32>;
/* plane, row, column: four bytes as half-split.ts packs them */
@group(0) @binding(7) var<storage, read_write> split: array<u32>;
/* variance by place in the list of tiles and plane; first beside stones and then in them */
@group(0) @binding(8) var<storage, read_write> noise: array<vec2u>;
/* what pixels show, four a word */
@group(0) @binding(9) var<storage, read> shows: array<u32>;

/* the bits of an infinity, which shaders have none of */
const INFINITE: u32 = 0x7f800000u;

var<workgroup> variances: array<vec2f, 256>;

fn shown(pixel: u32) -> u32 { return (shows[pixel >> 2u] >> ((pixel & 3u) << 3u)) & 255u; }

fn powerOfTwo(e: i32) -> f32 { return bitcast<f32>(u32(clamp(e, -126, 127) + 127) << 23u); }

fn unpacked(packed: u32) -> vec3f {
  let bytes = bitcast<vec3i>(vec3u(packed << 24u, packed << 16u, packed << 8u)) >> vec3u(24u);
  return vec3f(bytes) * powerOfTwo(i32(packed >> 24u) - 133);
}

fn packedOf(v: vec3f) -> u32 {
  let most = max(max(abs(v.x), abs(v.y)), abs(v.z));
  // below this a difference is nothing to any picture
  if (!(most > 1e-30)) { return 0u; }
  var e = i32(bitcast<u32>(most) >> 23u);
  if (most * powerOfTwo(133 - e) >= 127.5) { e++; }
  let m = vec3i(floor(v * powerOfTwo(133 - e) + 0.5));
  return (u32(m.x) & 255u) | ((u32(m.y) & 255u) << 8u) | ((u32(m.z) & 255u) << 16u) | (u32(e) << 24u);
}

/* adds the light of both halves of a plane's samples to its film; @return the variance of the pixel, beside stones and in them */
fn addTo(plane: u32, pixel: vec2u, a: vec3f, b: vec3f) -> vec2f {
  let nA = f32(job.countA);
  let nB = f32(job.countB);
  let n = nA + nB;
  let at = (plane * job.height + pixel.y) * job.width + pixel.x;
  let all = vec3f(sum[3u * at], sum[3u * at + 1u], sum[3u * at + 2u]) + a + b;
  sum[3u * at] = all.x;
  sum[3u * at + 1u] = all.y;
  sum[3u * at + 2u] = all.z;
  let packed = packedOf(unpacked(split[at]) + (a - b));
  split[at] = packed;
  if (nA == 0.0 || nB == 0.0) { return vec2f(0.0); }
  let share = (sqrt(nA * nB) / n) * (AT_VIEWING_SCALE / MID_GREY);
  let difference = all * ((1.0 / nA - 1.0 / nB) / 2.0) + unpacked(packed) * ((1.0 / nA + 1.0 / nB) / 2.0);
  let what = shown(pixel.y * job.width + pixel.x);
  let square = COUNTS[what] * seenSquare(all / n, difference * share);
  return select(vec2f(square, 0.0), vec2f(0.0, square), what == STONE_SHOWN);
}

@compute @workgroup_size(256)
fn fold(@builtin(workgroup_id) id: vec3u, @builtin(num_workgroups) count: vec3u,
  @builtin(local_invocation_index) here: u32) {
  let place = id.x + id.y * count.x;
  let portion = job.portions[job.folds];
  let runs = (job.end - job.start) / portion.run;
  let used = place * runs * TILE_PIXELS < portion.runs;
  var tile = 0u;
  if (used) { tile = tiles[portion.first + place]; }
  let x = here % TILE;
  let y = here / TILE;
  let pixel = vec2u((tile % job.tilesX) * TILE + x, (tile / job.tilesX) * TILE + y);
  let inside = used && pixel.x < job.width && pixel.y < job.height;
  let runsA = (job.middle - job.start) / portion.run;
  let inTile = (x & 7u) | ((x & 8u) << 2u) | ((y & 3u) << 3u) | ((y & 12u) << 4u);
  let begin = job.folds * job.room + place * runs * TILE_PIXELS + inTile;
  let known = job.countA > 0u && job.countB > 0u;
  for (var group = 0u; group < ${all}u; group++) {
    let plane = select(${colourways}u, group * ${lanes}u, group < ${groups}u);
    var a = Colours();
    var b = Colours();
    if (inside) {
      for (var s = 0u; s < runs; s++) {
        let part = parts[group * portion.runs + begin + s * TILE_PIXELS];
        if (s < runsA) { a = Colours(a.r + part.r, a.g + part.g, a.b + part.b); }
        else { b = Colours(b.r + part.r, b.g + part.g, b.b + part.b); }
      }
    }
${each
  .map(
    (lane, k) => `    if (${stands(k)}) {
      var variance = vec2f(0.0);
      if (inside) {
        variance = addTo(plane + ${k}u, pixel, vec3f(a.r${lane}, a.g${lane}, a.b${lane}), vec3f(b.r${lane}, b.g${lane}, b.b${lane}));
      }
      variances[here] = variance;
      workgroupBarrier();
      if (here == 0u && used) {
        var all = vec2f(0.0);
        for (var i = 0u; i < TILE_PIXELS; i++) { all += variances[i]; }
        noise[(portion.first + place) * ${planes}u + plane + ${k}u] = select(vec2u(INFINITE, 0u), bitcast<vec2u>(all), known);
      }
      workgroupBarrier();
    }`,
  )
  .join('\n')}
  }
}
`;
};
