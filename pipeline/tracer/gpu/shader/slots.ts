/**
 * Slots, in which paths wait between programs: each holds one path with its sample, its rays and what they met. Planes of
 * sixteen bytes a slot, so that neighbours read neighbouring words.
 */
import { LONGEST_RUN } from '../pass-jobs.ts';
import { PORTIONS } from './film.ts';

/** What lies in each plane; what is not named beside it is unused. */
const PLANES = [
  /** flags; run, which of its samples it is, portion; state of the stream; hash of the pixel */
  'HEAD',
  /** the path's ray, where it ends at the latest, its density */
  'RAY_O',
  'RAY_D',
  /** colour-free throughput, share of the sample */
  'CARRIED',
  /** the light in the ray's way: place on it, index plus one and the waves' pair, wavelength */
  'LIGHT',
  /** clamp, rim, matte's shares */
  'LIMITS',
  /** light that nothing has coloured, back of both Fresnel terms */
  'PLAIN',
  /** shadow ray and its length, whether it met anything; its light, metal */
  'SHADOW_O',
  'SHADOW_D',
  'SHADOW_LIGHT',
  /** c5 and c6 of shadow and path */
  'FRESNEL',
  /** what the path's ray met: primitive, place, u or stone, v */
  'HIT',
  /** read only when they are wanted: the second branch, and the stone that the camera sees */
  'BRANCH_O',
  'BRANCH_D',
  'FIRST_L',
  'FIRST_E',
  'FIRST_N',
] as const;

/** Bytes of a plane and of all, a slot. */
export const PLANE_BYTES = 16;
export const SLOT_BYTES = PLANE_BYTES * PLANES.length;

/** Bits by which samples of a run, portions, and runs of a portion are told apart: together those of a word. */
const NTH_BITS = Math.ceil(Math.log2(LONGEST_RUN));
const PORTION_BITS = Math.ceil(Math.log2(PORTIONS));
const RUN_BITS = 32 - NTH_BITS - PORTION_BITS;
export const MOST_RUNS = 2 ** RUN_BITS;

const FLAGS = [
  'ALIVE',
  /** in the list of stones */
  'ENTERS',
  /** its ray has yet to be followed */
  'DEPARTS',
  'SAMPLING',
  'RESTING',
  'FROM_CAMERA',
  'FROM_GROUND',
  'FIRST_GROUND',
  'SCATTERED',
  'BRANCH_WAITS',
  'TINTED',
  'TINT_WAITS',
  'LIGHT_FRONT',
  'ENDS_ON_GROUND',
] as const;

export const slots = /* wgsl */ `
${PLANES.map((name, k) => `const ${name}: u32 = ${k}u;`).join('\n')}
${FLAGS.map((name, k) => `const ${name}: u32 = ${1 << k}u;`).join('\n')}
/* of two, two, six and six bits */
const SHADOW_BITS: u32 = ${FLAGS.length}u;
const WAVES_BITS: u32 = ${FLAGS.length + 2}u;
const VERTEX_BITS: u32 = ${FLAGS.length + 4}u;
const PAIR_BITS: u32 = ${FLAGS.length + 10}u;

/* a path in a stone, or about to enter one, has no shadow ray: place, direction and normal in the stone's frame lie there */
const ENTRY_L: u32 = SHADOW_O;
const ENTRY_E: u32 = SHADOW_D;
const ENTRY_N: u32 = SHADOW_LIGHT;

/* plane, slot */
@group(0) @binding(7) var<storage, read_write> held: array<vec4u>;

var<private> slot: u32;
/* the slot has a run of samples, of which portion, which, and at which of these it is; its path goes on; its shadow ray met
   something */
var<private> sampling: bool;
var<private> portion: u32;
var<private> runAt: u32;
var<private> nth: u32;
var<private> alive: bool;
var<private> departs: bool;
var<private> shadowMet: bool;

fn flag(on: bool, bit: u32) -> u32 { return select(0u, bit, on); }
fn planeAt(plane: u32) -> u32 { return plane * job.slots + slot; }
fn setAside(plane: u32) -> vec4f { return bitcast<vec4f>(held[planeAt(plane)]); }
fn putAside(plane: u32, v: vec3f, w: f32) { held[planeAt(plane)] = bitcast<vec4u>(vec4f(v, w)); }
`;

/** Taking a path up from its slot, and putting it down there. */
export const slotted = /* wgsl */ `
fn runsOfTile() -> u32 { return ((job.end - job.start) / job.portions[portion].run) * TILE_PIXELS; }

fn sampleIndex() -> u32 {
  return job.start + ((runAt % runsOfTile()) / TILE_PIXELS) * job.portions[portion].run + nth;
}

fn takeUp() {
  let head = held[planeAt(HEAD)];
  let flags = head.x;
  runAt = extractBits(head.y, 0u, ${RUN_BITS}u);
  nth = extractBits(head.y, ${RUN_BITS}u, ${NTH_BITS}u);
  portion = head.y >> ${RUN_BITS + NTH_BITS}u;
  sampling = (flags & SAMPLING) != 0u;
  alive = (flags & ALIVE) != 0u;
  shadow = (flags >> SHADOW_BITS) & 3u;
  if (!sampling) { return; }
  pixelHash = head.w;
  startSample(sampleIndex());
  streamState = head.z;
  pair = (flags >> PAIR_BITS) & 63u;
  fromCamera = (flags & FROM_CAMERA) != 0u;
  fromGround = (flags & FROM_GROUND) != 0u;
  firstGround = (flags & FIRST_GROUND) != 0u;
  scattered = (flags & SCATTERED) != 0u;
  branchWaits = (flags & BRANCH_WAITS) != 0u;
  tinted = (flags & TINTED) != 0u;
  tintWaits = (flags & TINT_WAITS) != 0u;
  lightFront = (flags & LIGHT_FRONT) != 0u;
  wavesLeft = (flags >> WAVES_BITS) & 3u;
  vertices = (flags >> VERTEX_BITS) & 63u;
  let o = setAside(RAY_O);
  let d = setAside(RAY_D);
  let c = setAside(CARRIED);
  let light = held[planeAt(LIGHT)];
  let limits = setAside(LIMITS);
  let p = setAside(PLAIN);
  let hit = held[planeAt(HIT)];
  rayO = o.xyz;
  rayD = d.xyz;
  end = Reach(o.w, (flags & ENDS_ON_GROUND) != 0u);
  lightT = o.w;
  pathPdf = d.w;
  carried = c.xyz;
  pathShare = c.w;
  lightA = bitcast<f32>(light.x);
  lightB = bitcast<f32>(light.y);
  lightIndex = i32(light.z & 0xffffffu) - 1;
  wavePair = light.z >> 24u;
  wavelength = bitcast<f32>(light.w);
  lightLimit = limits.x;
  pathRim = limits.y;
  open = limits.z;
  through = limits.w;
  plain = p.xyz;
  hitPrimitive = hit.x;
  hitAt = hit.y;
  hitStone = hit.z;
  hitU = bitcast<f32>(hit.z);
  hitV = bitcast<f32>(hit.w);
  if (shadow != NO_SHADOW || tintWaits) {
    let s = setAside(SHADOW_LIGHT);
    let f = setAside(FRESNEL);
    shadowMet = held[planeAt(SHADOW_D)].w != 0u;
    shadowLight = s.xyz;
    metMetal = bitcast<u32>(s.w);
    shadowFresnel = vec3f(f.xy, p.w);
    tintFresnel = vec3f(f.zw, p.w);
  }
}

fn takeUpEntry() {
  let l = setAside(ENTRY_L);
  entryL = l.xyz;
  entryStone = bitcast<u32>(l.w);
  let e = setAside(ENTRY_E);
  let n = setAside(ENTRY_N);
  entryE = e.xyz;
  inside = e.w;
  entryN = n.xyz;
  bounces = bitcast<u32>(n.w);
}

fn putDown() {
  let flags = flag(alive, ALIVE) | flag(enters, ENTERS) | flag(departs, DEPARTS)
    | flag(sampling, SAMPLING) | flag(!sampling, RESTING)
    | flag(fromCamera, FROM_CAMERA) | flag(fromGround, FROM_GROUND) | flag(firstGround, FIRST_GROUND)
    | flag(scattered, SCATTERED) | flag(branchWaits, BRANCH_WAITS) | flag(tinted, TINTED) | flag(tintWaits, TINT_WAITS)
    | flag(lightFront, LIGHT_FRONT) | flag(end.ground, ENDS_ON_GROUND)
    | (shadow << SHADOW_BITS) | (wavesLeft << WAVES_BITS) | (vertices << VERTEX_BITS) | (pair << PAIR_BITS);
  held[planeAt(HEAD)] = vec4u(flags, runAt | (nth << ${RUN_BITS}u) | (portion << ${RUN_BITS + NTH_BITS}u), streamState, pixelHash);
  if (!sampling) { return; }
  let back = select(shadowFresnel.z, tintFresnel.z, tintWaits);
  putAside(RAY_O, rayO, end.t);
  putAside(RAY_D, rayD, pathPdf);
  putAside(CARRIED, carried, pathShare);
  let light = u32(lightIndex + 1) | (wavePair << 24u);
  held[planeAt(LIGHT)] = vec4u(bitcast<u32>(lightA), bitcast<u32>(lightB), light, bitcast<u32>(wavelength));
  held[planeAt(LIMITS)] = bitcast<vec4u>(vec4f(lightLimit, pathRim, open, through));
  putAside(PLAIN, plain, back);
  if (enters) {
    putAside(ENTRY_L, entryL, bitcast<f32>(entryStone));
    putAside(ENTRY_E, entryE, inside);
    putAside(ENTRY_N, entryN, bitcast<f32>(bounces));
    return;
  }
  if (shadow != NO_SHADOW) {
    putAside(SHADOW_O, shadowO, shadowT);
    putAside(SHADOW_D, shadowD, 0.0);
  }
  if (shadow != NO_SHADOW || tintWaits) {
    putAside(SHADOW_LIGHT, shadowLight, bitcast<f32>(metMetal));
    held[planeAt(FRESNEL)] = bitcast<vec4u>(vec4f(shadowFresnel.xy, tintFresnel.xy));
  }
}
`;
