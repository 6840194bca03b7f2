/**
 * Samples are followed in steps, by three programs in turn: `nextVertex` takes every path one vertex further, `followRays`
 * follows what rays have been left, and `passStones` takes those on that are in a stone or about to enter one. Apart, since they
 * need unlike numbers of registers and the card holds the more walks at once the fewer they need; and by lists, so that
 * neighbours all have a ray to follow or a stone to pass.
 */
import { type BatchPlanes, partsOf } from './film.ts';

export const GROUP = 64;

/** What programs count and keep lists by, in words of one buffer: samples taken and slots at rest come first. */
const COUNTS = [
  'TAKEN',
  'RESTED',
  'RAYS',
  'RAYS_FROM',
  'RAYS_NEXT',
  'STONES',
  'STONES_FROM',
  'STONES_NEXT',
] as const;
export const COUNT_BYTES = 4 * COUNTS.length;

/** Lists a slot has a place in: two of rays, one of stones. */
export const LIST_BYTES = 3 * 4;

/**
 * Lists are rings, to whose end programs add and from whose beginning the program that is due takes all there is. A
 * beginning is moved by whichever program neither adds nor takes.
 */
export const lists = /* wgsl */ `
${COUNTS.map((name, k) => `const ${name}: u32 = ${k}u;`).join('\n')}
@group(0) @binding(6) var<storage, read_write> counts: array<atomic<u32>, ${COUNTS.length}>;
/* of rays, each a slot and whether it is the shadow's; of slots about to enter a stone */
@group(0) @binding(9) var<storage, read_write> lists: array<u32>;
const OF_SHADOW: u32 = 0x80000000u;

/* slots are a power of two */
fn rayAt(k: u32) -> u32 { return k & (2u * job.slots - 1u); }
fn stoneAt(k: u32) -> u32 { return 2u * job.slots + (k & (job.slots - 1u)); }
`;

/** Takes the next sample that is in the frame, and leaves one that is done. */
const samples = ({ matte, colourways }: BatchPlanes) => /* wgsl */ `
@group(0) @binding(4) var<storage, read> tiles: array<u32>;

/* a slot takes one whenever it is done with one; which it was that a slot had decides nothing */
fn takeSample() -> bool {
  let ofTile = (job.end - job.start) * TILE_PIXELS;
  loop {
    if (atomicLoad(&counts[TAKEN]) >= sampleCount()) { return false; }
    sampleAt = atomicAdd(&counts[TAKEN], 1u);
    if (sampleAt >= sampleCount()) { return false; }
    let inTile = sampleAt % TILE_PIXELS;
    let tile = tiles[job.first + sampleAt / ofTile];
    // neighbours in a group of 32 are 8 by 4 pixels
    let x = (inTile & 7u) | ((inTile >> 2u) & 8u);
    let y = ((inTile >> 3u) & 3u) | ((inTile >> 4u) & 12u);
    let pixel = vec2u((tile % job.tilesX) * TILE + x, (tile / job.tilesX) * TILE + y);
    if (pixel.x < job.width && pixel.y < job.height) {
      clearSums();
      open = 0.0;
      through = 0.0;
      startPixel(pixel.x, pixel.y, job.seed);
      pathRim = rimAt(pixel);
      startAtLens(pixel, sampleIndex());
      return true;
    }
  }
}

fn leaveSample() {
  for (var k = 0u; k < SUMS; k++) {
    let s = parts[sumAt(k)];
    parts[sumAt(k)] = Colours(s.r + plain.r, s.g + plain.g, s.b + plain.b);
  }
${matte ? `  parts[sumAt(${partsOf({ matte, colourways }).groups}u)] = Colours(Some(1.0 - open), Some(through), Some(0.0));` : ''}
}

/* begins what is to be followed next; false where nothing is left */
fn beginNext() -> bool {
  if (HAS_DISPERSION && wavesLeft > 0u) {
    takeWaveLeft();
    enterAgain();
    return true;
  }
  if (branchWaits) {
    takeBranch();
    return true;
  }
  if (sampling) { leaveSample(); }
  sampling = takeSample();
  return sampling;
}
`;

/** Adding to lists: all of a group together, since all groups share the counters. */
const enlisting = /* wgsl */ `
var<workgroup> pathsHere: atomic<u32>;
var<workgroup> shadowsHere: atomic<u32>;
var<workgroup> stonesHere: atomic<u32>;
var<workgroup> firstRay: u32;
var<workgroup> firstStone: u32;

/* what the path in hand has to be followed or to pass, if there is one */
fn enlist(here: u32, used: bool) {
  let passes = used && enters;
  let goes = used && alive && !enters;
  let shades = used && shadow != NO_SHADOW;
  let path = atomicAdd(&pathsHere, flag(goes, 1u));
  let shade = atomicAdd(&shadowsHere, flag(shades, 1u));
  let stone = atomicAdd(&stonesHere, flag(passes, 1u));
  workgroupBarrier();
  let paths = atomicLoad(&pathsHere);
  if (here == 0u) {
    firstRay = atomicAdd(&counts[RAYS], paths + atomicLoad(&shadowsHere));
    firstStone = atomicAdd(&counts[STONES], atomicLoad(&stonesHere));
  }
  workgroupBarrier();
  if (goes) { lists[rayAt(firstRay + path)] = slot; }
  if (shades) { lists[rayAt(firstRay + paths + shade)] = slot | OF_SHADOW; }
  if (passes) { lists[stoneAt(firstStone + stone)] = slot; }
}
`;

export const nextVertex = (batch: BatchPlanes) =>
  [
    samples(batch),
    enlisting,
    /* wgsl */ `
@compute @workgroup_size(${GROUP})
fn nextVertex(@builtin(global_invocation_id) id: vec3u, @builtin(local_invocation_index) here: u32) {
  if (id.x == 0u) {
    atomicStore(&counts[RAYS_FROM], atomicLoad(&counts[RAYS_NEXT]));
    atomicStore(&counts[STONES_FROM], atomicLoad(&counts[STONES_NEXT]));
  }
  slot = id.x;
  let flags = held[planeAt(HEAD)].x;
  if ((flags & DEPARTS) != 0u) { held[planeAt(HEAD)].x = flags & ~DEPARTS; }
  let used = (flags & (RESTING | ENTERS | DEPARTS)) == 0u;
  if (used) {
    takeUp();
    if (alive || shadow != NO_SHADOW) { alive = arrive(); }
    if (!alive && shadow == NO_SHADOW) { alive = beginNext(); }
    if (!sampling) { atomicAdd(&counts[RESTED], 1u); }
    depart();
    putDown();
  }
  enlist(here, used);
}
`,
  ].join('\n');

export const passStones = [
  enlisting,
  /* wgsl */ `
@compute @workgroup_size(${GROUP})
fn passStones(@builtin(global_invocation_id) id: vec3u, @builtin(local_invocation_index) here: u32) {
  let begin = atomicLoad(&counts[STONES_FROM]);
  let used = id.x < atomicLoad(&counts[STONES_NEXT]) - begin;
  if (used) {
    slot = lists[stoneAt(begin + id.x)];
    takeUp();
    takeUpEntry();
    alive = passThrough();
    departs = alive && !enters;
    depart();
    putDown();
  }
  enlist(here, used);
}
`,
].join('\n');

export const followRays = /* wgsl */ `
@compute @workgroup_size(${GROUP})
fn followRays(@builtin(global_invocation_id) id: vec3u, @builtin(num_workgroups) groups: vec3u) {
  let begin = atomicLoad(&counts[RAYS_FROM]);
  let count = atomicLoad(&counts[RAYS]) - begin;
  if (id.x == 0u) {
    atomicStore(&counts[RAYS_NEXT], begin + count);
    atomicStore(&counts[STONES_NEXT], atomicLoad(&counts[STONES]));
  }
  for (var i = id.x; i < count; i += groups.x * ${GROUP}u) {
    let entry = lists[rayAt(begin + i)];
    slot = entry & ~OF_SHADOW;
    let any = entry != slot;
    let o = setAside(select(RAY_O, SHADOW_O, any));
    follow(Walk(o.xyz, setAside(select(RAY_D, SHADOW_D, any)).xyz, o.w), any);
    if (any) {
      held[planeAt(SHADOW_D)].w = flag(hitPrimitive != NOTHING, 1u);
    } else {
      let onStone = HAS_STONES && hitPrimitive >= valueU(TRIANGLES);
      held[planeAt(HIT)] = vec4u(hitPrimitive, hitAt, select(bitcast<u32>(hitU), hitStone, onStone), bitcast<u32>(hitV));
    }
  }
}
`;
