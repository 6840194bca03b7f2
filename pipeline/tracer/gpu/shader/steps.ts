/**
 * Samples are followed in steps, by three programs in turn: `nextVertex` takes every path one vertex further, `followRays`
 * follows what rays have been left, and `passStones` takes those on that are in a stone or about to enter one. Apart, since they
 * need unlike numbers of registers and the card holds the more walks at once the fewer they need; and by lists, so that
 * neighbours all have a ray to follow or a stone to pass.
 */
import { type BatchPlanes, PORTIONS, partsOf } from './film.ts';

export const GROUP = 64;

/** Lists of rays: from the camera, from the ground, from the object, shadow rays; all but the first by octant. */
const BINS = 32;
const KINDS = ['CAMERA', 'GROUND', 'OBJECT', 'SHADE'].map((name, k) => `const BIN_${name}: u32 = ${8 * k}u;`);

/** What programs count and keep lists by, each so many words: runs taken, and of each portion those done with, come first. */
const COUNTS = {
  TAKEN: 1,
  DONE: PORTIONS,
  STONES: 1,
  STONES_FROM: 1,
  STONES_NEXT: 1,
  RAYS: BINS,
  RAYS_FROM: BINS,
  RAYS_NEXT: BINS,
};
const wordsOf = (counts: number[]) => counts.reduce((all, n) => all + n, 0);
const COUNT = wordsOf(Object.values(COUNTS));
export const COUNT_BYTES = 4 * COUNT;
const countAt = (k: number) => wordsOf(Object.values(COUNTS).slice(0, k));

/** Lists that a slot has a place in: those of rays, and that of stones. */
export const LIST_BYTES = (BINS + 1) * 4;

/**
 * Lists are rings, to whose end programs add and from whose beginning the program that is due takes all there is. A
 * beginning is moved by whichever program neither adds nor takes.
 */
export const lists = /* wgsl */ `
${Object.keys(COUNTS)
  .map((name, k) => `const ${name}: u32 = ${countAt(k)}u;`)
  .join('\n')}
${KINDS.join('\n')}
const BINS: u32 = ${BINS}u;
@group(0) @binding(6) var<storage, read_write> counts: array<atomic<u32>, ${COUNT}>;
/* slots: list, place in it; those of rays come first */
@group(0) @binding(9) var<storage, read_write> lists: array<u32>;

/* slots are a power of two */
fn listAt(bin: u32, k: u32) -> u32 { return bin * job.slots + (k & (job.slots - 1u)); }
`;

/** Takes the next run of samples that is in the frame, and leaves one that is done. */
const samples = ({ matte, colourways }: BatchPlanes) => /* wgsl */ `
@group(0) @binding(4) var<storage, read> tiles: array<u32>;

/* of a run; it may lie outside the frame */
fn pixelOf(run: u32) -> vec2u {
  let inTile = run % TILE_PIXELS;
  let tile = tiles[job.portions[portion].first + run / runsOfTile()];
  // neighbours in a group of 32 are 8 by 4 pixels
  let x = (inTile & 7u) | ((inTile >> 2u) & 8u);
  let y = ((inTile >> 3u) & 3u) | ((inTile >> 4u) & 12u);
  return vec2u((tile % job.tilesX) * TILE + x, (tile / job.tilesX) * TILE + y);
}

/* a slot takes a run whenever it is done with one; which it was that a slot had decides nothing */
fn takeRun() -> bool {
  while (runsLeft()) {
    let nextRun = atomicAdd(&counts[TAKEN], 1u);
    if (nextRun >= job.begun) {
      atomicSub(&counts[TAKEN], 1u);
      return false;
    }
    portion = 0u;
    while (portion < ${PORTIONS - 1}u && nextRun - job.portions[portion].before >= job.portions[portion].runs) { portion++; }
    runAt = nextRun - job.portions[portion].before;
    let pixel = pixelOf(runAt);
    if (pixel.x < job.width && pixel.y < job.height) {
      clearSums();
      open = 0.0;
      through = 0.0;
      nth = 0u;
      startPixel(pixel.x, pixel.y, job.seed);
      pathRim = rimAt(pixel);
      return true;
    }
    atomicAdd(&counts[DONE + portion], 1u);
  }
  return false;
}

fn runsLeft() -> bool { return atomicLoad(&counts[TAKEN]) < job.begun; }

fn leaveRun() {
  for (var k = 0u; k < SUMS; k++) {
    let s = parts[sumAt(k)];
    parts[sumAt(k)] = Colours(s.r + plain.r, s.g + plain.g, s.b + plain.b);
  }
${matte ? `  parts[sumAt(${partsOf({ matte, colourways }).groups}u)] = Colours(Some(f32(job.portions[portion].run) - open), Some(through), Some(0.0));` : ''}
  atomicAdd(&counts[DONE + portion], 1u);
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
  if (sampling && nth + 1u < job.portions[portion].run) {
    nth++;
  } else {
    if (sampling) { leaveRun(); }
    sampling = takeRun();
    if (!sampling) { return false; }
  }
  startAtLens(pixelOf(runAt), sampleIndex());
  return true;
}
`;

/** Adding to lists: all of a group together, since all groups share the counters. */
const enlisting = /* wgsl */ `
var<workgroup> here: array<atomic<u32>, BINS + 1u>;
var<workgroup> first: array<u32, BINS + 1u>;

fn octant(d: vec3f) -> u32 { return dot(vec3u(1u, 2u, 4u), bitcast<vec3u>(d) >> vec3u(31u)); }

fn rayBin() -> u32 {
  if (fromCamera) { return BIN_CAMERA; }
  return select(BIN_OBJECT, BIN_GROUND, fromGround) + octant(rayD);
}

/* what the path in hand has to be followed or to pass, if there is one */
fn enlist(me: u32, used: bool) {
  let goes = used && alive;
  let shades = used && shadow != NO_SHADOW;
  var bin = BINS;
  if (!enters) { bin = rayBin(); }
  let shadeBin = BIN_SHADE + octant(shadowD);
  var mine = 0u;
  var shade = 0u;
  if (goes) { mine = atomicAdd(&here[bin], 1u); }
  if (shades) { shade = atomicAdd(&here[shadeBin], 1u); }
  workgroupBarrier();
  if (me <= BINS) {
    let count = atomicLoad(&here[me]);
    if (count > 0u) { first[me] = atomicAdd(&counts[select(RAYS + me, STONES, me == BINS)], count); }
  }
  workgroupBarrier();
  if (goes) { lists[listAt(bin, first[bin] + mine)] = slot; }
  if (shades) { lists[listAt(shadeBin, first[shadeBin] + shade)] = slot; }
}
`;

export const nextVertex = (batch: BatchPlanes) =>
  [
    samples(batch),
    enlisting,
    /* wgsl */ `
@compute @workgroup_size(${GROUP})
fn nextVertex(@builtin(global_invocation_id) id: vec3u, @builtin(local_invocation_index) me: u32) {
  if (id.x < BINS) { atomicStore(&counts[RAYS_FROM + id.x], atomicLoad(&counts[RAYS_NEXT + id.x])); }
  if (id.x == 0u) { atomicStore(&counts[STONES_FROM], atomicLoad(&counts[STONES_NEXT])); }
  slot = id.x;
  let flags = held[planeAt(HEAD)].x;
  if ((flags & DEPARTS) != 0u) { held[planeAt(HEAD)].x = flags & ~DEPARTS; }
  var used = (flags & (ENTERS | DEPARTS)) == 0u;
  if ((flags & RESTING) != 0u) { used = runsLeft(); }
  if (used) {
    takeUp();
    if (alive || shadow != NO_SHADOW) { alive = arrive(); }
    if (!alive && shadow == NO_SHADOW) { alive = beginNext(); }
    depart();
    putDown();
  }
  enlist(me, used);
}
`,
  ].join('\n');

export const passStones = [
  enlisting,
  /* wgsl */ `
@compute @workgroup_size(${GROUP})
fn passStones(@builtin(global_invocation_id) id: vec3u, @builtin(local_invocation_index) me: u32) {
  let begin = atomicLoad(&counts[STONES_FROM]);
  let used = id.x < atomicLoad(&counts[STONES_NEXT]) - begin;
  if (used) {
    slot = lists[listAt(BINS, begin + id.x)];
    takeUp();
    takeUpEntry();
    alive = passThrough();
    departs = alive && !enters;
    depart();
    putDown();
  }
  enlist(me, used);
}
`,
].join('\n');

export const followRays = /* wgsl */ `
var<workgroup> begins: array<u32, BINS>;
var<workgroup> ends: array<u32, BINS>;

@compute @workgroup_size(${GROUP})
fn followRays(@builtin(global_invocation_id) id: vec3u, @builtin(local_invocation_index) me: u32,
  @builtin(num_workgroups) groups: vec3u) {
  if (me < BINS) {
    let next = atomicLoad(&counts[RAYS + me]);
    begins[me] = atomicLoad(&counts[RAYS_FROM + me]);
    ends[me] = next - begins[me];
    if (id.x < BINS) { atomicStore(&counts[RAYS_NEXT + me], next); }
  }
  if (id.x == 0u) { atomicStore(&counts[STONES_NEXT], atomicLoad(&counts[STONES])); }
  workgroupBarrier();
  var bin = 0u;
  var before = 0u;
  for (var i = id.x; ; i += groups.x * ${GROUP}u) {
    while (bin < BINS && i - before >= ends[bin]) {
      before += ends[bin];
      bin++;
    }
    if (bin == BINS) { break; }
    slot = lists[listAt(bin, begins[bin] + i - before)];
    let any = bin >= BIN_SHADE;
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
