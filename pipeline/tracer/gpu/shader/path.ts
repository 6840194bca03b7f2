/** One camera sample, from lens to light: kernel/path.ts, as a machine that goes one vertex further with each step. */
export const path = /* wgsl */ `
const MAX_VERTICES: u32 = 32u;
const ROULETTE_FROM: u32 = 8u;
const ROULETTE_FOR: u32 = 8u;
const KEEP: f32 = 0.85;
const FAINT: f32 = 0.35;

fn filterOffset(u: f32) -> f32 {
  let x = u * f32(FILTER_STEPS);
  let i = u32(x);
  let a = floatAt(FILTER + (i << 2u));
  return a + (x - f32(i)) * (floatAt(FILTER + (i << 2u) + 4u) - a);
}

/* begins sample number index of the pixel */
fn startAtLens(pixel: vec2u, index: u32) {
  startSample(index);
  draw();
  let size = vec2f(f32(valueU(WIDTH)), f32(valueU(HEIGHT)));
  let place = (vec2f(pixel) + 0.5 + vec2f(filterOffset(u0), filterOffset(u1))) / size * 2.0 - 1.0;
  let right = valueV(RIGHT);
  let up = valueV(UP);
  var d = valueV(FORWARD).xyz + place.x * right.xyz - place.y * up.xyz;
  var o = valueV(EYE).xyz;
  if (HAS_LENS) {
    draw();
    let turn = circle(u0);
    let r = valueF(LENS_RADIUS) * sqrt(u1);
    let shift = (r * turn.y * right.w) * right.xyz + (r * turn.x * up.w) * up.xyz;
    d = d * valueF(FOCUS_DISTANCE) - shift;
    o += shift;
  }
  fromCamera = true;
  pathShare = 1.0;
  branchWaits = false;
  wavesLeft = 0u;
  vertices = 0u;
  begin(1.0, o, d * (1.0 / sqrt(dot(d, d))));
}

/* what the studio sends along the path's ray, weighed against its being sampled */
fn studioLight() -> vec3f {
  if (lightIndex < 0) { return carried * fromSky(rayD, pathPdf); }
  if (!lightFront) { return vec3f(0.0); }
  let light = carried * emitted(u32(lightIndex), lightA, lightB);
  if (pathPdf > 0.0) { return light * powerWeight(pathPdf, lightPdf(u32(lightIndex), rayO, rayD, lightT)); }
  return light;
}

/* false where the path breaks off */
fn survives() -> bool {
  vertices++;
  if (vertices > MAX_VERTICES) { return false; }
  if (vertices > ROULETTE_FROM && vertices <= ROULETTE_FROM + ROULETTE_FOR) {
    if (stream() >= KEEP) { return false; }
    carried *= 1.0 / KEEP;
  }
  if (!fromCamera) {
    let most = largest(carried);
    let faint = FAINT * pathShare;
    if (most < faint) {
      if (stream() * faint >= most) { return false; }
      carried *= faint / most;
    }
  }
  return true;
}

/* the light of the last vertex's shadow ray, and then what that vertex has done to the path's colours; false where all are dark */
fn settle(met: bool) -> bool {
  if (shadow == BLOCKED && met) {
    add(shadowLight);
    shade(shadowLight);
  }
  let lights = Reflected(shadow == LIT && !met, shadowFresnel);
  let tints = Reflected(tintWaits, tintFresnel);
  shadow = NO_SHADOW;
  tintWaits = false;
  return meetColours(metMetal, lights, shadowLight, tints);
}

/* where lights or the ground end the path's ray at the latest */
struct Reach { t: f32, ground: bool }
var<private> end: Reach;

fn reach(lit: bool) -> Reach {
  var r = Reach(FAR, false);
  if (lit) {
    nearestLight(rayO, rayD, FAR);
    r.t = lightT;
  }
  if (GROUND != GROUND_NONE && rayD.y < 0.0 && rayO.y > 0.0) {
    let t = -rayO.y / rayD.y;
    if (t < r.t) { r = Reach(t, true); }
  }
  return r;
}

/* what becomes of the shadow ray that a vertex has left, and of the path's ray, before they are followed */
fn depart() {
  if (shadow != NO_SHADOW) {
    nearestLight(shadowO, shadowD, shadowT * 0.9999);
    // another rectangle in between is dark from behind
    if (lightIndex >= 0 && lightIndex != toIndex) { shadow = NO_SHADOW; }
  }
  if (alive && !enters) { end = reach(!fromCamera); }
}

/*
 * Once the rays have been followed: the light of the shadow ray, and the path's next vertex if it is alive; false where it
 * ends.
 */
fn arrive() -> bool {
  if (!settle(shadowMet) || !alive) { return false; }
  let ends = hitPrimitive == NOTHING && !end.ground;
  // a ray from the ground that meets an object takes away what the studio would have sent; one that meets none brings
  // the studio as it would be without the objects, which is no difference
  let lit = select(ends != fromGround, ends, fromCamera);
  var light = vec3f(0.0);
  if (fromCamera) {
    if (ends) {
      seeThrough();
      light = backdrop();
    }
  } else if (lit) {
    light = studioLight();
    if (ends) {
      light = clampedIf(scattered, light);
    } else {
      light = clamped(-light);
      shade(light);
    }
  }
  // said once, since compilers write it out wherever it is said
  if (lit) { add(light); }
  if (ends) { return false; }
  fromGround = false;
  if (!survives()) { return false; }
  if (HAS_STONES && hitPrimitive != NOTHING && hitPrimitive >= valueU(TRIANGLES)) { return meetStone(); }
  return meetSurface(hitPrimitive == NOTHING);
}

/* metal or ground; what both ask for is said once, since compilers write it out wherever it is said */
fn meetSurface(ground: bool) -> bool {
  var next: u32;
  if (ground) { next = reachGround(end.t); } else { next = reachMetal(); }
  if (next == ENDS || next == TURNS) { return next == TURNS; }
  if (next == SEEKS) {
    draw();
    if (!(ground && hopeless()) && sampleLight(leavesAt, u0, u1)) {
      if (ground) { lightGround(); } else { lightMetal(); }
    }
  }
  draw();
  if (ground) { return leaveGround(); }
  return leaveMetal();
}

/* what white ground keeps of its shading: all within a rounded frame, nothing in the outermost pixels */
fn rimAt(pixel: vec2u) -> f32 {
  if (!HAS_RIM) { return 1.0; }
  let across = centred(pixel.x, valueU(WIDTH));
  let up = centred(pixel.y, valueU(HEIGHT));
  let out = sqrt(sqrt(across * across * across * across + up * up * up * up));
  let t = min(max((1.0 - out) * valueF(RIM), 0.0), 1.0);
  return t * t * (3.0 - 2.0 * t);
}

/* -1 in the first of so many pixels, 1 in the last */
fn centred(at: u32, count: u32) -> f32 {
  if (count < 2u) { return 0.0; }
  return 2.0 * f32(at) / f32(count - 1u) - 1.0;
}
`;
