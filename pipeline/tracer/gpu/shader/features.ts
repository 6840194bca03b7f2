/** What pixels show, without light: kernel/features.ts, for the pixels of a list of tiles; `found` gets FEATURES numbers each. */
export const features = /* wgsl */ `
@group(0) @binding(4) var<storage, read> tiles: array<u32>;
@group(0) @binding(5) var<storage, read_write> found: array<f32>;

const MIRRORS: u32 = 4u;
const BRIGHT: f32 = 4.0;

/* shares of metal, ground and stones; normal; light, ground and metal of mirrors; stones of mirrors, surface, height of light */
var<private> shares: vec3f;
var<private> seenNormal: vec3f;
var<private> mirrored: vec3f;
var<private> others: vec3f;

fn mirrorLight() {
  if (lightIndex >= 0 && !lightFront) { return; }
  var light: vec3f;
  if (lightIndex < 0) { light = sky(rayD); } else { light = emitted(u32(lightIndex), lightA, lightB); }
  mirrored.x += min(dot(light, vec3f(0.2126, 0.7152, 0.0722)), BRIGHT);
}

/* adds what is seen of the metal just hit; true where it mirrors, with the ray set to go on */
fn lookAtMetal(first: bool) -> bool {
  let met = metalPoint();
  if (first) {
    shares.x += 1.0;
    let id = (met.surface - valueU(SURFACES_AT)) / SURFACE_BYTES;
    let own = fract(f32(id + 1u) * 0.6180339887);
    others.y += own + patternTone * select(-0.5, 0.5, own < 0.5);
  } else { mirrored.z += 1.0; }
  if (!met.front) { return false; }
  if (first) { seenNormal += met.n; }
  if (wordAt(met.surface + 12u) == 0u || floatAt(met.surface + COAT_RATIO) > 0.0) { return false; }
  rayO = met.p + met.g * clearance(met.p);
  rayD -= 2.0 * dot(rayD, met.n) * met.n;
  return true;
}

fn look() {
  for (var bounce = 0u; bounce <= MIRRORS; bounce++) {
    end = reach(bounce > 0u);
    follow(Walk(rayO, rayD, end.t), false);
    if (hitPrimitive == NOTHING) {
      if (bounce == 0u) { shares.y += 1.0; } else if (end.ground) { mirrored.y += 1.0; } else { mirrorLight(); }
      if (bounce > 0u) { others.z += rayD.y; }
      if (bounce > 0u || !end.ground || GROUND != GROUND_GLOSS) { return; }
      let p = vec3f(rayO.x + rayD.x * end.t, 0.0, rayO.z + rayD.z * end.t);
      rayO = vec3f(p.x, clearance(p), p.z);
      rayD = vec3f(rayD.x, -rayD.y, rayD.z);
    } else if (!HAS_STONES || hitPrimitive < valueU(TRIANGLES)) {
      if (!lookAtMetal(bounce == 0u)) { return; }
    } else {
      if (bounce == 0u) { shares.z += 1.0; } else { others.x += 1.0; }
      return;
    }
  }
}

@compute @workgroup_size(64)
fn features(@builtin(global_invocation_id) id: vec3u, @builtin(num_workgroups) groups: vec3u) {
  let at = id.x + id.y * groups.x * 64u;
  if (at >= job.portions[0].runs) { return; }
  let inTile = at % TILE_PIXELS;
  let tile = tiles[job.portions[0].first + at / TILE_PIXELS];
  let pixel = vec2u((tile % job.tilesX) * TILE + inTile % TILE, (tile / job.tilesX) * TILE + inTile / TILE);
  if (pixel.x >= job.width || pixel.y >= job.height) { return; }
  startPixel(pixel.x, pixel.y, job.seed);
  var last = FEATURE_SAMPLES;
  var s = 0u;
  for (; s < last; s++) {
    startAtLens(pixel, s);
    look();
    // a pixel of which no one thing has all
    if (s + 1u == FEATURE_SAMPLES && all(shares < vec3f(f32(FEATURE_SAMPLES)))) { last = MIXED_SAMPLES; }
  }
  let share = 1.0 / f32(s);
  let to = at * FEATURES;
  for (var k = 0u; k < 3u; k++) {
    found[to + k] = shares[k] * share;
    found[to + 3u + k] = seenNormal[k] * share;
    found[to + 6u + k] = mirrored[k] * share;
    found[to + 9u + k] = others[k] * share;
  }
}
`;
