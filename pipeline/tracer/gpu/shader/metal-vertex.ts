/** A path meets metal: kernel/metal-vertex.ts. */
export const metalVertex = /* wgsl */ `
fn surfaceOf(triangle: u32) -> u32 {
  let at = valueU(TRIANGLE_SURFACE_AT) + (triangle << 1u);
  return valueU(SURFACES_AT) + ((words[at >> 2u] >> ((at & 2u) << 3u)) & 0xffffu) * SURFACE_BYTES;
}

/* a shadow ray to the light just sampled, by which it comes back unless something stands between */
fn seekLight(o: vec3f, light: vec3f, fresnel: vec3f) {
  // ground can't come between: lights lie above it, or their part below it is dark
  let below = GROUND != GROUND_NONE && o.y + toward.y * toT < 0.0;
  if (!(largest(light) > 1e-7) || below) { return; }
  shadow = LIT;
  shadowO = o;
  shadowD = toward;
  shadowT = toT;
  shadowLight = light;
  if (scattered) { shadowLight = clamped(light); }
  shadowFresnel = fresnel;
}

/* a body of colour under its coat: kernel/body-vertex.ts; it leaves shares of the coat and the tone where metal has Fresnel's */
fn meetBody(surface: u32, o: vec3f, g: vec3f, n: vec3f, w: vec3f, f: Frame, alpha: vec2f, mirror: bool) -> bool {
  let coat = coatOf(surface, w, alpha);
  let shade = -1.0 - patternTone;
  draw();
  if (sampleLight(o, u0, u1)) {
    let i = vec3f(dot(toward, f.t), dot(toward, f.b), dot(toward, n));
    if (i.z > 0.0 && dot(toward, g) > 0.0) {
      let b = weigh(coat, i, mirror);
      let both = b.x + b.y;
      let light = carried * toRadiance * (both * powerWeight(toPdf, b.z) / toPdf);
      seekLight(o, light, vec3f(b.x / both, 0.0, shade));
    }
  }

  draw();
  let shining = u0 < coat.chance;
  var i: vec3f;
  var wh = 0.0;
  if (shining) {
    let h = sampleNormal(w, alpha, u0 / coat.chance, u1);
    wh = dot(w, h);
    i = 2.0 * wh * h - w;
  } else {
    let v = (u0 - coat.chance) / (1.0 - coat.chance);
    let turn = circle(u1);
    i = vec3f(sqrt(v) * turn.y, sqrt(v) * turn.x, sqrt(max(1.0 - v, 0.0)));
  }
  if (!(i.z > 0.0)) { return false; }
  var out = i.x * f.t + i.y * f.b + i.z * n;
  let under = dot(out, g);
  if (under <= 0.0) {
    if (!mirror || !shining) { return false; }
    out -= 2.0 * under * g;
  }
  rayO = o;
  rayD = out * (1.0 / sqrt(dot(out, out)));
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
  tintFresnel = vec3f(b.x / both, 0.0, shade);
  return true;
}

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

fn meetMetal() -> bool {
  let met = metalPoint();
  if (!met.front) { return false; }
  let surface = met.surface;
  let g = met.g;
  let n = met.n;
  let p = met.p;
  let d = rayD;

  let record = quadAt(surface);
  let alpha = record.xy;
  metMetal = bitcast<u32>(record.z);
  let mirror = HAS_MIRRORS && (!HAS_ROUGH || bitcast<u32>(record.w) != 0u);
  var f: Frame;
  if (!HAS_GRAIN || alpha.x == alpha.y) { f = frameOf(n); } else { f = frameAlong(n, tripleAt(surface + 20u)); }
  let w = vec3f(-dot(d, f.t), -dot(d, f.b), max(-dot(d, n), 1e-5));
  let o = p + g * clearance(p);
  fromCamera = false;
  if (HAS_BODIES && floatAt(surface + COAT_RATIO) > 0.0) { return meetBody(surface, o, g, n, w, f, alpha, mirror); }
  let lo = lambda(w, alpha);
  let e = albedo(wordAt(surface + 16u), w.x, w.y, w.z);
  let back = (1.0 - e) / e;

  if (!mirror) {
    draw();
    if (sampleLight(o, u0, u1)) {
      let i = vec3f(dot(toward, f.t), dot(toward, f.b), dot(toward, n));
      if (i.z > 0.0 && dot(toward, g) > 0.0) {
        var h = i + w;
        h *= 1.0 / sqrt(dot(h, h));
        let dh = distribution(h, alpha);
        let li = lambda(i, alpha);
        let own = dh / ((1.0 + lo) * 4.0 * w.z);
        let value = (dh / (4.0 * w.z * (1.0 + lo + li) * toPdf)) * powerWeight(toPdf, own);
        let light = carried * toRadiance * value;
        seekLight(o, light, schlick(dot(h, w), back));
      }
    }
  }

  draw();
  let h = sampleNormal(w, alpha, u0, u1);
  let wh = dot(w, h);
  let i = 2.0 * wh * h - w;
  if (!(i.z > 0.0)) { return false; }
  var out = i.x * f.t + i.y * f.b + i.z * n;
  let under = dot(out, g);
  if (under <= 0.0) {
    if (!mirror) { return false; }
    out -= 2.0 * under * g;
  }
  rayO = o;
  rayD = out * (1.0 / sqrt(dot(out, out)));
  carried *= (1.0 + lo) / (1.0 + lo + lambda(i, alpha));
  tintWaits = true;
  tintFresnel = schlick(wh, back);
  if (mirror) {
    pathPdf = 0.0;
  } else {
    pathPdf = distribution(h, alpha) / ((1.0 + lo) * 4.0 * w.z);
    scattered = true;
  }
  return true;
}
`;
