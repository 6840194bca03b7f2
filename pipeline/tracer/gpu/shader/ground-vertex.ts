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

fn meetGround(t: f32) -> bool {
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
        return true;
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
  if (distant || !(largest(k) > 0.0)) { return false; }
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
  let cone = slice < 0.5;
  let conePdf = 1.0 / (2.0 * PI * slice);

  draw();
  let hopeless = cone && u0 < 1.0 - valueF(SKY_CHANCE) && !meetsCone(pickLight(u0), o, b, b2, slice);
  if (!hopeless && sampleLight(o, u0, u1) && toward.y > 0.0) {
    var other = toward.y * (1.0 / PI);
    if (cone) { other = select(0.0, conePdf, dot(toward, b) > (1.0 - slice) * sqrt(b2)); }
    // outside the cone nothing can block
    if (!cone || other > 0.0) {
      shadow = BLOCKED;
      shadowO = o;
      shadowD = toward;
      shadowT = toT;
      shadowLight = clamped(k * toRadiance * (-(toward.y / toPdf) * powerWeight(toPdf, other)));
    }
  }

  draw();
  rayO = o;
  let turn = circle(u1);
  if (cone) {
    let h = slice * u0;
    let st = sqrt(max(h * (2.0 - h), 0.0));
    let z = b * (1.0 / sqrt(b2));
    let f = frameOf(z);
    rayD = z * (1.0 - h) + st * (turn.y * f.t + turn.x * f.b);
    pathPdf = conePdf;
  } else {
    let r = sqrt(u0);
    rayD = vec3f(r * turn.y, sqrt(1.0 - u0), r * turn.x);
    pathPdf = rayD.y * (1.0 / PI);
  }
  if (rayD.y <= 0.0) { return false; }
  carried = k * (rayD.y / pathPdf);
  fromGround = true;
  return true;
}
`;
