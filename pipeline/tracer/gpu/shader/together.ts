/**
 * What invocations that run side by side do together, where the adapter has subgroups. The walk in a stone asks for the
 * nearest of some ninety planes, time and again, and how long it goes on differs from path to path by a factor of a hundred:
 * in a subgroup few are on it at a time. So all who are there look through the planes for one after the other, each of them
 * through a few. Who isn't there, because its invocation has gone another way, is not counted on.
 *
 * Without subgroups each invocation does the same for itself.
 */

/** What an entry point takes in, and how it begins, so that what follows here works. */
export const laneParameter = (subgroups: boolean) =>
  subgroups ? ', @builtin(subgroup_invocation_id) ownLane: u32' : '';
export const laneKnown = (subgroups: boolean) => (subgroups ? 'lane = ownLane;' : '');

/** Stands before everything else of a program. */
export const subgroupsWanted = (subgroups: boolean) =>
  subgroups ? 'enable subgroups;\ndiagnostic(off, subgroup_uniformity);' : '';

export const together = (subgroups: boolean) => /* wgsl */ `
/* a plane of a stone: distance along the local ray, and where it lies (bytes, components 16 apart) */
struct Facet { t: f32, at: u32 }

fn facetNormal(at: u32) -> vec3f { return vec3f(floatAt(at), floatAt(at + 16u), floatAt(at + 32u)); }
${subgroups ? shared : single}`;

const shared = /* wgsl */ `
const NOBODY: u32 = 0xffffffffu;
var<private> lane: u32;

fn anyOf(here: bool) -> bool { return subgroupAny(here); }

/* whole numbers in the order of floats, and back */
fn ordered(x: f32) -> u32 {
  let bits = bitcast<u32>(x);
  return select(bits | 0x80000000u, ~bits, bits >> 31u != 0u);
}
fn unordered(key: u32) -> f32 { return bitcast<f32>(select(~key, key & 0x7fffffffu, key >> 31u != 0u)); }

/* how many are here, and how many of them stand before this one */
fn present() -> vec2u {
  let here = subgroupBallot(true);
  let word = vec4u(0u, 1u, 2u, 3u);
  let own = vec4u(lane >> 5u);
  let below = select(select(vec4u(0u), vec4u((1u << (lane & 31u)) - 1u), word == own), vec4u(NOBODY), word < own);
  let all = countOneBits(here);
  let before = countOneBits(here & below);
  return vec2u(all.x + all.y + all.z + all.w, before.x + before.y + before.z + before.w);
}

/* the plane through which a local ray leaves the stone, for all who want to know */
fn exits(wants: bool, planes: u32, blocks: u32, l: vec3f, e: vec3f) -> Facet {
  let here = present();
  var mine = Facet(0.0, planes);
  var waits = wants;
  loop {
    let who = subgroupMin(select(NOBODY, lane, waits));
    if (who == NOBODY) { break; }
    let first = subgroupShuffle(planes, who);
    let count = subgroupShuffle(blocks, who) << 2u;
    let o = subgroupShuffle(l, who);
    let d = subgroupShuffle(e, who);
    var best = FAR;
    var found = NOBODY;
    for (var i = here.y; i < count; i += here.x) {
      let at = first + ((i >> 2u) << 6u) + ((i & 3u) << 2u);
      let n = facetNormal(at);
      let nd = n.x * d.x + n.y * d.y + n.z * d.z;
      let t = (floatAt(at + 48u) - (n.x * o.x + n.y * o.y + n.z * o.z)) / select(1.0, nd, nd > 0.0);
      if (nd > 0.0 && t < best) {
        best = t;
        found = at;
      }
    }
    let key = ordered(best);
    let least = subgroupMin(key);
    let place = subgroupMin(select(NOBODY, found, key == least));
    if (lane == who) {
      mine = Facet(max(unordered(least), 0.0), select(place, first, place == NOBODY));
      waits = false;
    }
  }
  return mine;
}

/* the plane through which a ray enters a stone before its limit, for all who want to know; FAR where it doesn't */
fn entries(wants: bool, stone: u32, worldO: vec3f, worldD: vec3f, limit: f32) -> Facet {
  let here = present();
  var mine = Facet(FAR, 0u);
  var waits = wants;
  loop {
    let who = subgroupMin(select(NOBODY, lane, waits));
    if (who == NOBODY) { break; }
    let at = subgroupShuffle(stone, who);
    let q = at >> 4u;
    let a = quads[q];
    let b = quads[q + 1u];
    let c = quads[q + 2u];
    let worldAt = subgroupShuffle(worldO, who);
    let towards = subgroupShuffle(worldD, who);
    let o = vec3f(dot(a.xyz, worldAt) + a.w, dot(b.xyz, worldAt) + b.w, dot(c.xyz, worldAt) + c.w);
    let d = vec3f(dot(a.xyz, towards), dot(b.xyz, towards), dot(c.xyz, towards));
    let first = wordAt(at + STONE_PLANES_AT);
    let count = wordAt(at + STONE_PLANE_BLOCKS) << 2u;
    var enter = -FAR;
    var leave = FAR;
    var found = NOBODY;
    for (var i = here.y; i < count; i += here.x) {
      let plane = first + ((i >> 2u) << 6u) + ((i & 3u) << 2u);
      let n = facetNormal(plane);
      let nd = n.x * d.x + n.y * d.y + n.z * d.z;
      let no = n.x * o.x + n.y * o.y + n.z * o.z;
      // a plane along the ray lies far ahead, or far behind for a ray outside it
      let t = (floatAt(plane + 48u) - no) / select(nd, 1e-30, nd == 0.0);
      if (nd < 0.0) {
        if (t > enter) {
          enter = t;
          found = plane;
        }
      } else { leave = min(leave, t); }
    }
    let key = ordered(enter);
    let most = subgroupMax(key);
    let place = subgroupMin(select(NOBODY, found, key == most));
    let further = unordered(subgroupMin(ordered(leave)));
    if (lane == who) {
      let near = unordered(most);
      if (near > 0.0 && near < min(further, limit)) { mine = Facet(near, place); }
      waits = false;
    }
  }
  return mine;
}
`;

const single = /* wgsl */ `
fn anyOf(here: bool) -> bool { return here; }

fn exits(wants: bool, planes: u32, blocks: u32, l: vec3f, e: vec3f) -> Facet {
  if (!wants) { return Facet(0.0, planes); }
  var best = vec4f(FAR);
  var found = vec4u(planes);
  for (var k = 0u; k < blocks; k++) {
    let at = planes + (k << 6u);
    let q = at >> 4u;
    let nx = quads[q];
    let ny = quads[q + 1u];
    let nz = quads[q + 2u];
    let nd = nx * e.x + ny * e.y + nz * e.z;
    let no = nx * l.x + ny * l.y + nz * l.z;
    let toward = nd > vec4f(0.0);
    let t = (quads[q + 3u] - no) / select(vec4f(1.0), nd, toward);
    let nearer = toward & (t < best);
    best = select(best, t, nearer);
    found = select(found, vec4u(at), nearer);
  }
  var f = Facet(best.x, found.x);
  if (best.y < f.t) { f = Facet(best.y, found.y + 4u); }
  if (best.z < f.t) { f = Facet(best.z, found.z + 8u); }
  if (best.w < f.t) { f = Facet(best.w, found.w + 12u); }
  f.t = max(f.t, 0.0);
  return f;
}

fn entries(wants: bool, stone: u32, o: vec3f, d: vec3f, limit: f32) -> Facet {
  if (!wants) { return Facet(FAR, 0u); }
  let q = stone >> 4u;
  let a = quads[q];
  let b = quads[q + 1u];
  let c = quads[q + 2u];
  let l = vec3f(dot(a.xyz, o) + a.w, dot(b.xyz, o) + b.w, dot(c.xyz, o) + c.w);
  let e = vec3f(dot(a.xyz, d), dot(b.xyz, d), dot(c.xyz, d));
  let planes = wordAt(stone + STONE_PLANES_AT);
  var enter = vec4f(-FAR);
  var found = vec4u(planes);
  var leave = vec4f(limit);
  for (var k = 0u; k < wordAt(stone + STONE_PLANE_BLOCKS); k++) {
    let at = planes + (k << 6u);
    let plane = at >> 4u;
    let nx = quads[plane];
    let ny = quads[plane + 1u];
    let nz = quads[plane + 2u];
    let nd = nx * e.x + ny * e.y + nz * e.z;
    let no = nx * l.x + ny * l.y + nz * l.z;
    // a plane along the ray lies far ahead, or far behind for a ray outside it
    let t = (quads[plane + 3u] - no) / select(nd, vec4f(1e-30), nd == vec4f(0.0));
    let facing = nd < vec4f(0.0);
    let later = facing & (t > enter);
    enter = select(enter, t, later);
    found = select(found, vec4u(at), later);
    leave = min(leave, select(t, vec4f(FAR), facing));
  }
  var f = Facet(enter.x, found.x);
  if (enter.y > f.t) { f = Facet(enter.y, found.y + 4u); }
  if (enter.z > f.t) { f = Facet(enter.z, found.z + 8u); }
  if (enter.w > f.t) { f = Facet(enter.w, found.w + 12u); }
  let further = min(min(leave.x, leave.y), min(leave.z, leave.w));
  if (!(f.t > 0.0 && f.t < further)) { f.t = FAR; }
  return f;
}
`;
