/** Ground and what stands behind everything: kernel/ground-vertex.ts, which says why it is done so. */
export const groundVertex = /* wgsl */ `
const HORIZON: f32 = 1e5;

fn backdrop() -> vec3f {
  if (GROUND == GROUND_GLOSS) { return sky(rayD); }
  if (GROUND != GROUND_SWEEP) { return vec3f(valueF(LEVEL)); }
  let out = HORIZON * 1e3;
  return irradiance(rayO.x + rayD.x * out, rayO.z + rayD.z * out) * valueV(GROUND_ALBEDO).xyz * (1.0 / PI);
}

/* share of the ground's albedo at a place */
fn paper(x: f32, z: f32) -> f32 {
  if (!HAS_PAPER) { return 1.0; }
  let cx = x - valueF(GRID_CENTRE);
  let cz = z - valueF(GRID_CENTRE + 4u);
  let out = min(max((sqrt(cx * cx + cz * cz) - valueF(PAPER)) * valueF(PAPER + 4u), 0.0), 1.0);
  return 1.0 - (1.0 - valueF(PAPER + 8u)) * out * out * (3.0 - 2.0 * out);
}

/* what the ground sends on of a light, and the part of the sphere, from the middle of the bound on, in which the objects lie */
var<private> groundKeeps: vec3f;
var<private> groundSlice: f32;

/* the ground on the path's ray, at its length t */
fn reachGround(t: f32) -> u32 {
  let ground = vec3f(rayO.x + rayD.x * t, 0.0, rayO.z + rayD.z * t);
  let o = vec3f(ground.x, clearance(ground), ground.z);
  let camera = fromCamera;
  let level = valueF(LEVEL);
  let distant = !(abs(o.x) + abs(o.z) < HORIZON);
  let e0 = irradiance(o.x, o.z);
  firstGround = camera;
  if (camera) { seeThrough(); }
  if (GROUND == GROUND_GLOSS) {
    let f = fresnel(-rayD.y, valueF(COAT));
    let mirrored = vec3f(rayD.x, -rayD.y, rayD.z);
    if (camera) {
      leaveBranch(f, o, mirrored);
      carried = vec3f(1.0 - f);
    } else {
      let body = (1.0 - f) * largest(valueV(GROUND_ALBEDO).xyz);
      let chance = f / (f + body);
      if (stream() >= chance) {
        carried *= (1.0 - f) / (1.0 - chance);
      } else {
        carried *= f / chance;
        pathPdf = 0.0;
        rayO = o;
        rayD = mirrored;
        return TURNS;
      }
    }
  }
  var k: vec3f;
  var light = vec3f(level);
  if (camera && GROUND == GROUND_WHITE) {
    // channels nobody lights have no ratio and stay at the level
    let lit = e0 > vec3f(1e-9);
    k = select(vec3f(0.0), (level * pathRim) / select(vec3f(1.0), e0, lit), lit);
  } else {
    k = carried * valueV(GROUND_ALBEDO).xyz * (paper(o.x, o.z) / PI);
    light = clampedIf(scattered, k * e0);
  }
  add(light);
  if (distant || !(largest(k) > 0.0)) { return ENDS; }
  fromCamera = false;
  scattered = true;
  lightLimit = min(lightLimit, CLAMP * PI * largest(k));

  // aim: the bounding sphere's cone, or the cosine where one stands close to it
  let bound = valueV(BOUND);
  let b = bound.xyz - o;
  let b2 = dot(b, b);
  let r2 = bound.w * bound.w;
  var slice = 2.0;
  if (b2 > r2) {
    let s2 = r2 / b2;
    slice = s2 / (1.0 + sqrt(1.0 - s2));
  }
  groundKeeps = k;
  groundSlice = slice;
  leavesAt = o;
  return SEEKS;
}

/* aims at a cone, and not by the cosine */
fn aimsAtCone() -> bool { return groundSlice < 0.5; }
fn conePdf() -> f32 { return 1.0 / (2.0 * PI * groundSlice); }

/* the light that comes next can't reach the ground past the objects */
fn hopeless() -> bool {
  let b = valueV(BOUND).xyz - leavesAt;
  return aimsAtCone() && u0 < 1.0 - valueF(SKY_CHANCE) && !meetsCone(pickLight(u0), leavesAt, b, dot(b, b), groundSlice);
}

/* the light just sampled, which the ground has not got where something is in its way */
fn lightGround() {
  if (!(toward.y > 0.0)) { return; }
  var other = toward.y * (1.0 / PI);
  if (aimsAtCone()) {
    let b = valueV(BOUND).xyz - leavesAt;
    // outside the cone nothing can block
    if (!(dot(toward, b) > (1.0 - groundSlice) * sqrt(dot(b, b)))) { return; }
    other = conePdf();
  }
  shadow = BLOCKED;
  shadowO = leavesAt;
  shadowD = toward;
  shadowT = toT;
  shadowLight = clamped(groundKeeps * toRadiance * (-(toward.y / toPdf) * powerWeight(toPdf, other)));
}

fn leaveGround() -> bool {
  rayO = leavesAt;
  let turn = circle(u1);
  if (aimsAtCone()) {
    let h = groundSlice * u0;
    let st = sqrt(max(h * (2.0 - h), 0.0));
    let b = valueV(BOUND).xyz - leavesAt;
    let z = b * (1.0 / sqrt(dot(b, b)));
    let f = frameOf(z);
    rayD = z * (1.0 - h) + st * (turn.y * f.t + turn.x * f.b);
    pathPdf = conePdf();
  } else {
    let r = sqrt(u0);
    rayD = vec3f(r * turn.y, sqrt(1.0 - u0), r * turn.x);
    pathPdf = rayD.y * (1.0 / PI);
  }
  if (rayD.y <= 0.0) { return false; }
  carried = groundKeeps * (rayD.y / pathPdf);
  fromGround = true;
  return true;
}
`;
