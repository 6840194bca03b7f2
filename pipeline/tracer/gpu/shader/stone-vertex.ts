/** A path meets a faceted stone: kernel/stone-vertex.ts. */
export const stoneVertex = /* wgsl */ `
const MAX_INTERNAL: u32 = 128u;

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

fn meetStone() -> bool {
  let stone = hitStone;
  let planes = wordAt(stone + STONE_PLANES_AT);
  let blocks = wordAt(stone + STONE_PLANE_BLOCKS);
  let gem = wordAt(stone + STONE_GEM);
  let optics = quadAt(valueU(GEMS_AT) + gem * GEM_BYTES);
  let q = stone >> 4u;
  let m0 = quads[q];
  let m1 = quads[q + 1u];
  let m2 = quads[q + 2u];
  var l = vec3f(dot(m0.xyz, rayO) + m0.w, dot(m1.xyz, rayO) + m1.w, dot(m2.xyz, rayO) + m2.w);
  var e = vec3f(dot(m0.xyz, rayD), dot(m1.xyz, rayD), dot(m2.xyz, rayD));
  var f = facet(planes, blocks, l, e, true);
  l += e * f.t;
  var n = facetNormal(f.at);
  // back onto the plane: the ray's error grows with its length
  l += n * (floatAt(f.at + 48u) - dot(n, l));
  let c0 = -dot(e, n);
  var index = optics.z;
  if (wavelength > 0.0) { index = optics.x + optics.y / (wavelength * wavelength); }
  let r0 = fresnel(c0, 1.0 / index);
  draw();
  var reflects = false;
  var o: vec3f;
  var d: vec3f;
  if (fromCamera) {
    fromStone(stone, l, e + 2.0 * c0 * n, n, &o, &d);
    leaveBranch(r0, o, d);
    carried = vec3f(1.0 - r0);
    fromCamera = false;
  } else {
    reflects = u0 < r0;
  }
  pathPdf = 0.0;
  if (reflects) {
    e += 2.0 * c0 * n;
  } else {
    if (optics.y > 0.0 && wavelength == 0.0) {
      let w = wave(u1);
      wavelength = w.w;
      carried *= w.xyz;
      index = optics.x + optics.y / (wavelength * wavelength);
    }
    let ratio = 1.0 / index;
    let ci = sqrt(max(1.0 - ratio * ratio * (1.0 - c0 * c0), 0.0));
    e = ratio * e + (ratio * c0 - ci) * n;

    var length = 0.0;
    var cosine = 0.0;
    draw();
    for (var bounce = 0u; ; ) {
      f = facet(planes, blocks, l, e, false);
      length += f.t;
      l += e * f.t;
      n = facetNormal(f.at);
      l += n * (floatAt(f.at + 48u) - dot(n, l));
      cosine = dot(e, n);
      let r = fresnel(cosine, index);
      if (r < 1.0) {
        var u = u0;
        if (bounce == 1u) { u = u1; } else if (bounce > 1u) { u = stream(); }
        if (u >= r) { break; }
      }
      e -= 2.0 * cosine * n;
      e *= 1.5 - 0.5 * dot(e, e);
      bounce++;
      if (bounce >= MAX_INTERNAL) { return false; }
    }
    if (optics.w > 0.0 && !tintByGem(gem, length)) { return false; }
    let co = sqrt(max(1.0 - index * index * (1.0 - cosine * cosine), 0.0));
    e = index * e + (co - index * cosine) * n;
  }
  fromStone(stone, l, e, n, &o, &d);
  rayO = o;
  rayD = d;
  return true;
}
`;
