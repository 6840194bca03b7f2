/**
 * Ray queries over the kernel's own tree (kernel/tree.ts): eight boxes a node, four triangles a block, stones as planes.
 * Of a node's children the nearest is followed and the others wait, each as it was outdone by a nearer one.
 */

const LANES = ['x', 'y', 'z', 'w'];

/** One line a child, written out: it may be met at distance t. */
const eachChild = (line: (met: string, t: string, child: string) => string): string =>
  [0, 1]
    .flatMap((half) =>
      LANES.map((lane) => line(`met${half}.${lane}`, `near${half}.${lane}`, `child${half}.${lane}`)),
    )
    .join('\n');

/** A node as small-nodes.ts writes it: which children are met, and how far away their boxes are. */
const NODE = /* wgsl */ `
      let q = node >> 4u;
      let head = quads[q];
      let exponents = bitcast<u32>(head.w);
      let steps = r * bitcast<vec3f>((vec3u(exponents, exponents >> 8u, exponents >> 16u) & vec3u(255u)) << vec3u(23u));
      let base = (head.xyz - o) * r;
      let x = bitcast<vec4u>(quads[q + 1u]);
      let y = bitcast<vec4u>(quads[q + 2u]);
      let z = bitcast<vec4u>(quads[q + 3u]);
      let child0 = bitcast<vec4u>(quads[q + 4u]);
      let child1 = bitcast<vec4u>(quads[q + 5u]);
      let nearX = select(x.xy, x.zw, back.x);
      let farX = select(x.zw, x.xy, back.x);
      let nearY = select(y.xy, y.zw, back.y);
      let farY = select(y.zw, y.xy, back.y);
      let nearZ = select(z.xy, z.zw, back.z);
      let farZ = select(z.zw, z.xy, back.z);
${[0, 1]
  .map((half) => {
    const lane = LANES[half];
    const along = (axis: string, i: string) => `bytes(${axis}.${lane}) * steps.${i} + base.${i}`;
    return `      let near${half} = max(max(${along('nearX', 'x')}, ${along('nearY', 'y')}),
        max(${along('nearZ', 'z')}, vec4f(0.0)));
      let far${half} = min(min(${along('farX', 'x')}, ${along('farY', 'y')}), ${along('farZ', 'z')}) * WIDEN;
      let met${half} = (near${half} <= min(far${half}, vec4f(limit))) & (child${half} != vec4u(0u));`;
  })
  .join('\n')}`;

/** Möller and Trumbore, four triangles of a block at `q` */
const TRIANGLES = /* wgsl */ `
        let e1x = quads[q + 3u];
        let e1y = quads[q + 4u];
        let e1z = quads[q + 5u];
        let e2x = quads[q + 6u];
        let e2y = quads[q + 7u];
        let e2z = quads[q + 8u];
        let px = d.y * e2z - d.z * e2y;
        let py = d.z * e2x - d.x * e2z;
        let pz = d.x * e2y - d.y * e2x;
        let det = e1x * px + e1y * py + e1z * pz;
        let inv = 1.0 / select(det, vec4f(1.0), det == vec4f(0.0));
        let kx = o.x - quads[q];
        let ky = o.y - quads[q + 1u];
        let kz = o.z - quads[q + 2u];
        let u = (kx * px + ky * py + kz * pz) * inv;
        let qx = ky * e1z - kz * e1y;
        let qy = kz * e1x - kx * e1z;
        let qz = kx * e1y - ky * e1x;
        let v = (d.x * qx + d.y * qy + d.z * qz) * inv;
        let t = (e2x * qx + e2y * qy + e2z * qz) * inv;
        let hits = (u >= vec4f(-EDGE)) & (v >= vec4f(-EDGE)) & (u + v <= vec4f(1.0 + EDGE))
          & (t > vec4f(0.0)) & (det != vec4f(0.0));`;

/** @param depth most entries that wait at a time */
export const tree = (depth: number) => /* wgsl */ `
const NOTHING: u32 = 0xffffffffu;
const EDGE: f32 = 1e-6;
const WIDEN: f32 = 1.0000005;
const DEPTH: u32 = ${depth}u;

var<private> hitPrimitive: u32;
var<private> hitT: f32;
var<private> hitU: f32;
var<private> hitV: f32;
/* bytes; of the block, plus four a lane; of a stone's plane likewise */
var<private> hitAt: u32;
var<private> hitStone: u32;

/* what waits while a nearer child is followed, and how far away it is; declared here, since what a function declares is cleared at every call */
var<private> waiting: array<vec2u, DEPTH>;

fn bytes(word: u32) -> vec4f {
  return vec4f((vec4u(word) >> vec4u(0u, 8u, 16u, 24u)) & vec4u(255u));
}

fn steepened(d: vec3f) -> vec3f {
  return vec3f(withSign(max(abs(d.x), 1e-20), d.x), withSign(max(abs(d.y), 1e-20), d.y), withSign(max(abs(d.z), 1e-20), d.z));
}

/* the plane through which a ray enters a stone; FAR where it doesn't */
fn enterStone(stone: u32, o: vec3f, d: vec3f, tmax: f32) -> Facet {
  let q = stone >> 4u;
  let a = quads[q];
  let b = quads[q + 1u];
  let c = quads[q + 2u];
  let l = vec3f(dot(a.xyz, o) + a.w, dot(b.xyz, o) + b.w, dot(c.xyz, o) + c.w);
  let e = vec3f(dot(a.xyz, d), dot(b.xyz, d), dot(c.xyz, d));
  var plane = wordAt(stone + STONE_PLANES_AT) >> 4u;
  let end = plane + (wordAt(stone + STONE_PLANE_BLOCKS) << 2u);
  var enter = vec4f(-FAR);
  var found = vec4u(plane);
  var leave = vec4f(tmax);
  for (; plane < end; plane += 4u) {
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
    found = select(found, vec4u(plane), later);
    leave = min(leave, select(t, vec4f(FAR), facing));
  }
  var f = Facet(enter.x, found.x << 4u);
  if (enter.y > f.t) { f = Facet(enter.y, (found.y << 4u) + 4u); }
  if (enter.z > f.t) { f = Facet(enter.z, (found.z << 4u) + 8u); }
  if (enter.w > f.t) { f = Facet(enter.w, (found.w << 4u) + 12u); }
  let further = min(min(leave.x, leave.y), min(leave.z, leave.w));
  if (!(f.t > 0.0 && f.t < further)) { f.t = FAR; }
  return f;
}

/* the nearest of what waits, unless something nearer has been met; 0 where nothing waits */
fn nextWaiting(sp: ptr<function, u32>, limit: f32) -> u32 {
  var node = 0u;
  while (*sp > 0u && node == 0u) {
    *sp -= 1u;
    let top = waiting[*sp];
    if (bitcast<f32>(top.y) < limit) { node = top.x; }
  }
  return node;
}

struct Walk { o: vec3f, d: vec3f, limit: f32 }

/* follows a ray to what is nearest, or, of a shadow ray, to anything; what it met is in hitPrimitive and its like */
fn follow(ray: Walk, any: bool) {
  hitPrimitive = NOTHING;
  let o = ray.o;
  let d = ray.d;
  var limit = ray.limit;
  let r = 1.0 / steepened(d);
  let back = (bitcast<vec3u>(d) >> vec3u(31u)) == vec3u(1u);
  var sp = 0u;
  var node = valueU(ROOT);
  loop {
    // down to a leaf, at which neighbours wait for each other
    loop {
      if (node == 0u || (node & 15u) != 0u) { break; }
      var next = 0u;
${NODE}
      var nextT = FAR;
${eachChild(
  (met, t, child) => `      if (${met}) {
        if (${t} < nextT) {
          if (next != 0u) { waiting[sp] = vec2u(next, bitcast<u32>(nextT)); sp++; }
          next = ${child};
          nextT = ${t};
        } else { waiting[sp] = vec2u(${child}, bitcast<u32>(${t})); sp++; }
      }`,
)}
      if (next == 0u) { next = nextWaiting(&sp, limit); }
      node = next;
    }
    if (node == 0u) { break; }
    var found = false;
    let blocks = node & 15u;
    let at = node - blocks;
    if (HAS_STONES && blocks == STONE_LEAF) {
      let f = enterStone(at, o, d, limit);
      if (f.t < limit) {
        found = true;
        limit = f.t;
        hitAt = f.at;
        hitStone = at;
        hitPrimitive = wordAt(at + STONE_INDEX) + valueU(TRIANGLES);
      }
    } else {
      var q = at >> 4u;
      let end = q + blocks * (BLOCK_BYTES >> 4u);
      for (; q < end; q += BLOCK_BYTES >> 4u) {
${TRIANGLES}
${LANES.map(
  (lane, i) => `          if (hits.${lane} && t.${lane} < limit) {
          limit = t.${lane}; hitU = u.${lane}; hitV = v.${lane}; hitAt = (q << 4u) + ${4 * i}u;
          found = true;
        }`,
).join('\n')}
      }
      if (found) { hitPrimitive = words[(hitAt >> 2u) + BLOCK_IDS / 4u]; }
    }
    if (any && found) { break; }
    node = nextWaiting(&sp, limit);
  }
  hitT = limit;
}

/* a plane of a stone: distance along the local ray, and where it lies (bytes, components 16 apart) */
struct Facet { t: f32, at: u32 }

/* the plane through which a ray leaves */
fn facet(planes: u32, blocks: u32, l: vec3f, e: vec3f) -> Facet {
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

fn facetNormal(at: u32) -> vec3f { return vec3f(floatAt(at), floatAt(at + 16u), floatAt(at + 32u)); }
`;
