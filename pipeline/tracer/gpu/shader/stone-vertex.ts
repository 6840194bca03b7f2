/** A path meets a faceted stone: kernel/stone-vertex.ts. */
export const stoneVertex = /* wgsl */ `
const MAX_INTERNAL: u32 = 128u;
const WAVES: u32 = 3u;
/* bounces after which a path waits for its next turn, so that none in the list waits for the longest; 2 or more */
const STRIDE: u32 = 8u;

/* a ray leaving a stone's surface, from local to world, its origin moved clear along the facet's normal */
fn fromStone(stone: u32, l: vec3f, e: vec3f, n: vec3f, o: ptr<function, vec3f>, d: ptr<function, vec3f>) {
  let q = (stone + STONE_TO_WORLD) >> 4u;
  let a = quads[q];
  let b = quads[q + 1u];
  let c = quads[q + 2u];
  var p = vec3f(dot(a.xyz, l) + a.w, dot(b.xyz, l) + b.w, dot(c.xyz, l) + c.w);
  p += clearance(p) * vec3f(dot(a.xyz, n), dot(b.xyz, n), dot(c.xyz, n));
  let w = vec3f(dot(a.xyz, e), dot(b.xyz, e), dot(c.xyz, e));
  *o = p;
  *d = w * (1.0 / sqrt(dot(w, w)));
}

/*
 * the place of a stone's surface at which the path is about to enter: stone, place, direction and normal in its frame; or,
 * after some bounces, where it is inside, with the length of its way so far
 */
var<private> enters: bool;
var<private> bounces: u32;
var<private> inside: f32;
var<private> entryStone: u32;
var<private> entryL: vec3f;
var<private> entryE: vec3f;
var<private> entryN: vec3f;

fn opticsOf(stone: u32) -> vec4f { return quadAt(valueU(GEMS_AT) + wordAt(stone + STONE_GEM) * GEM_BYTES); }

/* refractive index for the path's wavelength; that of the sodium line where it has none */
fn indexOf(optics: vec4f) -> f32 {
  if (HAS_DISPERSION && wavelength > 0.0) { return optics.x + optics.y / (wavelength * wavelength); }
  return optics.z;
}

fn takeWave(u: f32) {
  let w = wave(u);
  wavelength = w.w;
  carried *= w.xyz;
}

/* the stone just hit sends the path on, or it enters */
fn meetStone() -> bool {
  let stone = hitStone;
  let optics = opticsOf(stone);
  let q = stone >> 4u;
  let m0 = quads[q];
  let m1 = quads[q + 1u];
  let m2 = quads[q + 2u];
  var l = vec3f(dot(m0.xyz, rayO) + m0.w, dot(m1.xyz, rayO) + m1.w, dot(m2.xyz, rayO) + m2.w);
  let e = vec3f(dot(m0.xyz, rayD), dot(m1.xyz, rayD), dot(m2.xyz, rayD));
  let n = facetNormal(hitAt);
  let plane = floatAt(hitAt + 48u);
  let c0 = -dot(e, n);
  l += e * ((dot(n, l) - plane) / c0);
  // back onto the plane: the ray's error grows with its length
  l += n * (plane - dot(n, l));
  let disperses = HAS_DISPERSION && optics.y > 0.0 && !scattered;
  let r0 = fresnel(c0, 1.0 / indexOf(optics));
  draw();
  pathPdf = 0.0;
  let reflects = !fromCamera && u0 < r0;
  if (fromCamera || reflects) {
    var o: vec3f;
    var d: vec3f;
    fromStone(stone, l, e + 2.0 * c0 * n, n, &o, &d);
    if (reflects) {
      rayO = o;
      rayD = d;
      return true;
    }
    leaveBranch(r0, o, d);
    carried = vec3f(1.0 - r0);
    fromCamera = false;
    if (disperses) {
      // the stone that the camera sees, the share of the path that each wavelength takes in, and the variate of the last
      let share = (1.0 - r0) / f32(WAVES);
      putAside(FIRST_L, l, share);
      putAside(FIRST_E, e, u1);
      putAside(FIRST_N, n, bitcast<f32>(stone));
      carried = vec3f(share);
      leaveWaves(WAVES - 1u);
    }
  }
  if (disperses && wavelength == 0.0) { takeWave(u1); }
  enters = true;
  bounces = 0u;
  entryStone = stone;
  entryL = l;
  entryE = e;
  entryN = n;
  return true;
}

/* the next of the stratified wavelengths is about to enter the stone that the camera sees */
fn enterAgain() {
  let l = setAside(FIRST_L);
  var e = setAside(FIRST_E);
  let n = setAside(FIRST_N);
  carried = vec3f(l.w);
  e.w += 1.0 / f32(WAVES);
  if (e.w >= 1.0) { e.w -= 1.0; }
  putAside(FIRST_E, e.xyz, e.w);
  takeWave(e.w);
  enters = true;
  bounces = 0u;
  entryStone = bitcast<u32>(n.w);
  entryL = l.xyz;
  entryE = e.xyz;
  entryN = n.xyz;
}

/* into the stone, about in it and out again; it is still about to where it paused inside; false where the path ends there */
fn passThrough() -> bool {
  let stone = entryStone;
  let planes = wordAt(stone + STONE_PLANES_AT);
  let blocks = wordAt(stone + STONE_PLANE_BLOCKS);
  let optics = opticsOf(stone);
  let index = indexOf(optics);
  var l = entryL;
  var e = entryE;
  var n = entryN;
  if (bounces == 0u) {
    inside = 0.0;
    let ratio = 1.0 / index;
    let c0 = -dot(e, n);
    let ci = sqrt(max(1.0 - ratio * ratio * (1.0 - c0 * c0), 0.0));
    e = ratio * e + (ratio * c0 - ci) * n;
    draw();
  }
  enters = false;
  var cosine = 0.0;
  let pause = bounces + STRIDE;
  loop {
    let f = facet(planes, blocks, l, e);
    inside += f.t;
    l += e * f.t;
    n = facetNormal(f.at);
    l += n * (floatAt(f.at + 48u) - dot(n, l));
    cosine = dot(e, n);
    let r = fresnel(cosine, index);
    if (r < 1.0) {
      var u = u0;
      if (bounces == 1u) { u = u1; } else if (bounces > 1u) { u = stream(); }
      if (u >= r) { break; }
    }
    e -= 2.0 * cosine * n;
    e *= 1.5 - 0.5 * dot(e, e);
    bounces++;
    if (bounces >= MAX_INTERNAL) { return false; }
    if (bounces == pause) {
      enters = true;
      entryL = l;
      entryE = e;
      return true;
    }
  }
  if (HAS_ABSORPTION && optics.w > 0.0 && !tintByGem(wordAt(stone + STONE_GEM), inside)) { return false; }
  let co = sqrt(max(1.0 - index * index * (1.0 - cosine * cosine), 0.0));
  var o: vec3f;
  var d: vec3f;
  fromStone(stone, l, index * e + (co - index * cosine) * n, n, &o, &d);
  rayO = o;
  rayD = d;
  return true;
}
`;
