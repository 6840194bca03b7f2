/**
 * Rectangles of light: kernel/studio.ts. That samples them in double precision, because the solid angle of a rectangle is
 * the sum of four angles less a full turn. Here there is none: each angle is written as a quarter turn more than an arc
 * sine, so that the turn drops out before anything is rounded, and arc sines of small values keep all their digits.
 */
export const studio = /* wgsl */ `
const SMALL: f32 = 0.01;

var<private> lightIndex: i32;
var<private> lightT: f32;
var<private> lightA: f32;
var<private> lightB: f32;
var<private> lightFront: bool;

fn nearestLight(o: vec3f, d: vec3f, tmax: f32) {
  let count = valueU(LIGHT_BLOCKS);
  let first = valueU(LIGHT_BLOCKS_AT) >> 4u;
  var best = tmax;
  lightIndex = -1;
  for (var k = 0u; k < count; k++) {
    let at = first + k * (LIGHT_BLOCK_BYTES >> 4u);
    let nx = quads[at];
    let ny = quads[at + 1u];
    let nz = quads[at + 2u];
    let nd = nx * d.x + ny * d.y + nz * d.z;
    let no = nx * o.x + ny * o.y + nz * o.z;
    // empty lanes and planes along the ray lie nowhere
    let t = select((quads[at + 3u] - no) / nd, vec4f(-1.0), nd == vec4f(0.0));
    let px = o.x + t * d.x;
    let py = o.y + t * d.y;
    let pz = o.z + t * d.z;
    let a = px * quads[at + 4u] + py * quads[at + 5u] + pz * quads[at + 6u] - quads[at + 7u];
    let b = px * quads[at + 8u] + py * quads[at + 9u] + pz * quads[at + 10u] - quads[at + 11u];
    let met = (abs(a) <= vec4f(1.0)) & (abs(b) <= vec4f(1.0)) & (t > vec4f(1e-4));
    for (var lane = 0u; lane < 4u; lane++) {
      if (met[lane] && t[lane] < best) {
        best = t[lane];
        lightIndex = i32(k * 4u + lane);
        lightA = a[lane];
        lightB = b[lane];
        lightFront = nd[lane] < 0.0;
      }
    }
  }
  lightT = select(FAR, best, lightIndex >= 0);
}

fn ramp(a: f32, perFalloff: f32) -> f32 {
  let x = min((1.0 - abs(a)) * perFalloff, 1.0);
  return x * x * (3.0 - 2.0 * x);
}

fn lightAt(index: u32) -> u32 { return valueU(LIGHTS_AT) + index * LIGHT_BYTES; }

fn emitted(index: u32, a: f32, b: f32) -> vec3f {
  let light = lightAt(index);
  let k = floatAt(light + 60u);
  let radiance = quadAt(light + 64u).xyz;
  if (k > 0.0) { return radiance * (ramp(a, k) * ramp(b, k)); }
  return radiance;
}

/* small arguments keep their digits (Cephes, asinf) */
fn fineArcsine(x: f32) -> f32 {
  let a = min(abs(x), 1.0);
  let wide = a > 0.5;
  let z = select(a * a, 0.5 * (1.0 - a), wide);
  let s = select(a, sqrt(z), wide);
  let p = ((((4.2163199048e-2 * z + 2.4181311049e-2) * z + 4.5470025998e-2) * z + 7.4953002686e-2) * z
    + 1.6666752422e-1) * z * s + s;
  return withSign(select(p, 1.5707963267948966 - 2.0 * p, wide), x);
}

/* a rectangle seen from a point, in its own axes: sides, distance, and what sampling needs */
struct Face {
  x0: f32, x1: f32, y0: f32, y1: f32, z0: f32,
  b0: f32, b1: f32,
  /* the angles of the side in which sampling begins, less half a turn */
  begin: f32,
  solidAngle: f32,
  small: bool,
  seen: bool,
}

fn face(light: u32, p: vec3f) -> Face {
  let centre = quadAt(light);
  let u = quadAt(light + 16u);
  let v = quadAt(light + 32u);
  let n = tripleAt(light + 48u);
  let c = centre.xyz - p;
  let xc = dot(c, u.xyz);
  let yc = dot(c, v.xyz);
  var f: Face;
  f.z0 = dot(c, n);
  f.seen = f.z0 < -1e-6;
  if (!f.seen) { return f; }
  f.x0 = xc - centre.w;
  f.x1 = xc + centre.w;
  f.y0 = yc - u.w;
  f.y1 = yc + u.w;
  let r2 = xc * xc + yc * yc + f.z0 * f.z0;
  f.small = 4.0 * centre.w * u.w * -f.z0 < SMALL * r2 * sqrt(r2);
  if (f.small) { return f; }
  let zz = f.z0 * f.z0;
  f.b0 = -f.y0 / sqrt(f.y0 * f.y0 + zz);
  let n1 = f.x1 / sqrt(f.x1 * f.x1 + zz);
  f.b1 = f.y1 / sqrt(f.y1 * f.y1 + zz);
  let n3 = -f.x0 / sqrt(f.x0 * f.x0 + zz);
  f.begin = -(fineArcsine(f.b1 * n3) + fineArcsine(n3 * f.b0));
  f.solidAngle = fineArcsine(f.b0 * n1) + fineArcsine(n1 * f.b1) - f.begin;
  f.seen = f.solidAngle > 0.0;
  return f;
}

fn pickLight(pick: f32) -> u32 {
  let last = max(valueU(LIGHTS), 1u) - 1u;
  var index = 0u;
  while (index < last && pick >= floatAt(lightAt(index) + 76u)) { index++; }
  return index;
}

fn meetsCone(index: u32, p: vec3f, b: vec3f, b2: f32, slice: f32) -> bool {
  let light = lightAt(index);
  let c = quadAt(light);
  let d = c.xyz - p;
  let d2 = dot(d, d);
  let v = floatAt(light + 28u);
  let s2 = (c.w * c.w + v * v) / d2;
  if (!(s2 < 1.0)) { return true; }
  let ca = 1.0 - slice;
  let sa = sqrt(max(slice * (2.0 - slice), 0.0));
  let both = ca * sqrt(1.0 - s2) - sa * sqrt(s2);
  return dot(d, b) > (both - 1e-4) * sqrt(d2 * b2);
}

var<private> toward: vec3f;
var<private> toT: f32;
var<private> toPdf: f32;
var<private> toIndex: i32;
var<private> toRadiance: vec3f;

fn sampleLight(p: vec3f, first: f32, b: f32) -> bool {
  let skyChance = valueF(SKY_CHANCE);
  if (HAS_SKY && first >= 1.0 - skyChance) {
    let s = sampleSky(min((first + skyChance - 1.0) / skyChance, 0.99999994), b);
    toward = s.xyz;
    toT = FAR;
    toPdf = skyChance * s.w;
    toIndex = -1;
    toRadiance = sky(s.xyz);
    return toPdf > 0.0;
  }
  if (valueU(LIGHTS) == 0u) { return false; }
  let index = pickLight(first);
  let light = lightAt(index);
  let chance = floatAt(light + 44u);
  if (!(chance > 0.0)) { return false; }
  let f = face(light, p);
  if (!f.seen) { return false; }
  let a = min(max((first - floatAt(light + 76u) + chance) / chance, 0.0), 0.99999994);
  var lx = f.x0 + (f.x1 - f.x0) * a;
  var ly = f.y0 + (f.y1 - f.y0) * b;
  if (!f.small) {
    let turn = circle((a * f.solidAngle + f.begin) * (0.5 / PI));
    let s = select(turn.x, 1e-12, turn.x == 0.0);
    let fu = (turn.y * f.b0 + f.b1) / s;
    // by what it leaves to one, which is small where the rectangle reaches far to the side
    let fu2 = fu * fu;
    let rest = max(fu2 + f.b0 * f.b0 - 1.0, 1e-12);
    lx = withSign(1.0 / sqrt(rest), fu) * -f.z0;
    lx = clamp(lx, f.x0, f.x1);
    let d2 = lx * lx + f.z0 * f.z0;
    let h0 = f.y0 / sqrt(d2 + f.y0 * f.y0);
    let h1 = f.y1 / sqrt(d2 + f.y1 * f.y1);
    let h = h0 + b * (h1 - h0);
    let left = (1.0 - h) * (1.0 + h);
    ly = f.y1;
    if (left > 1e-7) { ly = (h * sqrt(d2)) / sqrt(left); }
    ly = clamp(ly, f.y0, f.y1);
  }
  let t2 = lx * lx + ly * ly + f.z0 * f.z0;
  toT = sqrt(t2);
  let s = 1.0 / toT;
  toward = (lx * s) * tripleAt(light + 16u) + (ly * s) * tripleAt(light + 32u) + (f.z0 * s) * tripleAt(light + 48u);
  var density = 0.0;
  if (f.small) { density = t2 * toT / ((f.x1 - f.x0) * (f.y1 - f.y0) * -f.z0); } else { density = 1.0 / f.solidAngle; }
  toPdf = chance * density;
  toIndex = i32(index);
  toRadiance = emitted(index, (2.0 * lx - f.x0 - f.x1) / (f.x1 - f.x0), (2.0 * ly - f.y0 - f.y1) / (f.y1 - f.y0));
  return true;
}

fn lightPdf(index: u32, p: vec3f, d: vec3f, t: f32) -> f32 {
  let light = lightAt(index);
  let chance = floatAt(light + 44u);
  if (!(chance > 0.0)) { return 0.0; }
  let f = face(light, p);
  if (!f.seen) { return 0.0; }
  if (!f.small) { return chance / f.solidAngle; }
  let facing = -dot(d, tripleAt(light + 48u));
  return (chance * t * t) / ((f.x1 - f.x0) * (f.y1 - f.y0) * max(facing, 1e-6));
}
`;
