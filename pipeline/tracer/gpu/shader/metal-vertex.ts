/** A path meets metal: kernel/metal-vertex.ts. */
export const metalVertex = /* wgsl */ `
fn surfaceOf(triangle: u32) -> u32 {
  let at = valueU(TRIANGLE_SURFACE_AT) + (triangle << 1u);
  return valueU(SURFACES_AT) + ((words[at >> 2u] >> ((at & 2u) << 3u)) & 0xffffu) * SURFACE_BYTES;
}

/* a shadow ray to the light just sampled, by which it comes back unless something stands between */
fn seekLight(light: vec3f, fresnel: vec3f) {
  // ground can't come between: lights lie above it, or their part below it is dark
  let below = GROUND != GROUND_NONE && leavesAt.y + toward.y * toT < 0.0;
  if (!(largest(light) > 1e-7) || below) { return; }
  shadow = LIT;
  shadowO = leavesAt;
  shadowD = toward;
  shadowT = toT;
  shadowLight = light;
  if (scattered) { shadowLight = clamped(light); }
  shadowFresnel = fresnel;
}

/* where the path stands on metal: a point clear of it is leavesAt; normals of face and surface, the way back in its frame */
struct Stand {
  body: bool, mirror: bool,
  g: vec3f, n: vec3f, w: vec3f,
  f: Frame,
  alpha: vec2f,
  lo: f32, back: f32,
}
var<private> stand: Stand;
/* of a body of colour */
var<private> standCoat: Coat;

/* a point of metal that the path's ray has met; from behind nothing is known of it but its surface */
struct MetalPoint { surface: u32, front: bool, p: vec3f, g: vec3f, n: vec3f }

fn metalPoint() -> MetalPoint {
  var met: MetalPoint;
  met.surface = surfaceOf(hitPrimitive);
  let at = hitAt >> 2u;
  let e1 = vec3f(bitcast<f32>(words[at + 12u]), bitcast<f32>(words[at + 16u]), bitcast<f32>(words[at + 20u]));
  let e2 = vec3f(bitcast<f32>(words[at + 24u]), bitcast<f32>(words[at + 28u]), bitcast<f32>(words[at + 32u]));
  let v0 = vec3f(bitcast<f32>(words[at]), bitcast<f32>(words[at + 4u]), bitcast<f32>(words[at + 8u]));
  met.p = v0 + hitU * e1 + hitV * e2;
  patternTone = 0.0;
  if (HAS_PATTERNS && floatAt(met.surface + PATTERN) > 0.0) { met.surface = patterned(met.surface, met.p); }
  var g = cross(e1, e2);
  met.front = dot(g, rayD) < 0.0;
  if (!met.front) { return met; }
  g *= 1.0 / sqrt(dot(g, g));
  met.g = g;
  var n = interpolateNormal(hitPrimitive, hitU, hitV, g);
  if (HAS_RELIEF && floatAt(met.surface + RELIEF) > 0.0) {
    let slopes = relief(met.surface, met.p);
    let f = frameAlong(n, tripleAt(met.surface + 20u));
    n -= slopes.x * f.t + slopes.y * f.b;
    n *= 1.0 / sqrt(dot(n, n));
  }
  met.n = liftMirror(n, rayD, g, -dot(g, rayD));
  return met;
}

/* the metal just hit */
fn reachMetal() -> u32 {
  let met = metalPoint();
  if (!met.front) { return ENDS; }
  let surface = met.surface;
  let record = quadAt(surface);
  metMetal = bitcast<u32>(record.z);
  fromCamera = false;
  leavesAt = met.p + met.g * clearance(met.p);
  stand.g = met.g;
  stand.n = met.n;
  stand.alpha = record.xy;
  stand.mirror = HAS_MIRRORS && (!HAS_ROUGH || bitcast<u32>(record.w) != 0u);
  if (!HAS_GRAIN || record.x == record.y) { stand.f = frameOf(met.n); } else { stand.f = frameAlong(met.n, tripleAt(surface + 20u)); }
  stand.w = vec3f(-dot(rayD, stand.f.t), -dot(rayD, stand.f.b), max(-dot(rayD, met.n), 1e-5));
  stand.body = HAS_BODIES && floatAt(surface + COAT_RATIO) > 0.0;
  if (HAS_BODIES && stand.body) {
    standCoat = coatOf(surface, stand.w, stand.alpha);
    return SEEKS;
  }
  stand.lo = lambda(stand.w, stand.alpha);
  let e = albedo(wordAt(surface + 16u), stand.w.x, stand.w.y, stand.w.z);
  stand.back = (1.0 - e) / e;
  return select(SEEKS, LEAVES, stand.mirror);
}

/* the light just sampled, if it comes back from where the path stands */
fn lightMetal() {
  let i = vec3f(dot(toward, stand.f.t), dot(toward, stand.f.b), dot(toward, stand.n));
  if (!(i.z > 0.0 && dot(toward, stand.g) > 0.0)) { return; }
  if (HAS_BODIES && stand.body) {
    let b = weigh(standCoat, i, stand.mirror);
    let both = b.x + b.y;
    let light = carried * toRadiance * (both * powerWeight(toPdf, b.z) / toPdf);
    seekLight(light, vec3f(b.x / both, 0.0, bodyShade()));
  } else {
    let w = stand.w;
    var h = i + w;
    h *= 1.0 / sqrt(dot(h, h));
    let dh = distribution(h, stand.alpha);
    let li = lambda(i, stand.alpha);
    let own = dh / ((1.0 + stand.lo) * 4.0 * w.z);
    let value = (dh / (4.0 * w.z * (1.0 + stand.lo + li) * toPdf)) * powerWeight(toPdf, own);
    seekLight(carried * toRadiance * value, schlick(dot(h, w), stand.back));
  }
}

fn leaveMetal() -> bool {
  if (HAS_BODIES && stand.body) { return leaveBody(); }
  let alpha = stand.alpha;
  let w = stand.w;
  let h = sampleNormal(w, alpha, u0, u1);
  let wh = dot(w, h);
  let i = 2.0 * wh * h - w;
  if (!leavesAlong(i, stand.mirror)) { return false; }
  carried *= (1.0 + stand.lo) / (1.0 + stand.lo + lambda(i, alpha));
  tintWaits = true;
  tintFresnel = schlick(wh, stand.back);
  if (stand.mirror) {
    pathPdf = 0.0;
  } else {
    pathPdf = distribution(h, alpha) / ((1.0 + stand.lo) * 4.0 * w.z);
    scattered = true;
  }
  return true;
}

/* a body of colour under its coat: kernel/body-vertex.ts; it leaves shares of the coat and the tone where metal has Fresnel's */
fn leaveBody() -> bool {
  let coat = standCoat;
  let mirror = stand.mirror;
  let shining = u0 < coat.chance;
  var i: vec3f;
  var wh = 0.0;
  if (shining) {
    let h = sampleNormal(stand.w, stand.alpha, u0 / coat.chance, u1);
    wh = dot(stand.w, h);
    i = 2.0 * wh * h - stand.w;
  } else {
    let v = (u0 - coat.chance) / (1.0 - coat.chance);
    let turn = circle(u1);
    i = vec3f(sqrt(v) * turn.y, sqrt(v) * turn.x, sqrt(max(1.0 - v, 0.0)));
  }
  if (!leavesAlong(i, mirror && shining)) { return false; }
  if (mirror && shining) {
    carried *= mirrorShare(coat, wh, i) / coat.chance;
    pathPdf = 0.0;
    return true;
  }
  let b = weigh(coat, i, mirror);
  let both = b.x + b.y;
  carried *= both / b.z;
  pathPdf = b.z;
  scattered = true;
  tintWaits = true;
  tintFresnel = vec3f(b.x / both, 0.0, bodyShade());
  return true;
}

fn bodyShade() -> f32 { return -1.0 - patternTone; }

/* sets the path's ray along a direction of the frame; false where it would go into the metal, from which mirrors turn it away */
fn leavesAlong(i: vec3f, mirrors: bool) -> bool {
  if (!(i.z > 0.0)) { return false; }
  var out = i.x * stand.f.t + i.y * stand.f.b + i.z * stand.n;
  let under = dot(out, stand.g);
  if (under <= 0.0) {
    if (!mirrors) { return false; }
    out -= 2.0 * under * stand.g;
  }
  rayO = leavesAt;
  rayD = out * (1.0 / sqrt(dot(out, out)));
  return true;
}
`;
