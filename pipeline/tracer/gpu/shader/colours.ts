/** The colours that ride on one path: kernel/colours.ts, here a batch of `planes` of them, from `job.colour` on. */
export const colours = (planes: number) => /* wgsl */ `
const BATCH: u32 = ${planes}u;
const DARK: f32 = 1e-5;
const CLAMP: f32 = 8.0;

var<private> throughput: array<vec3f, BATCH>;
var<private> sums: array<vec3f, BATCH>;
var<private> tinted: bool;
/* the clamp of this path */
var<private> lightLimit: f32;
/* of light that nothing has coloured */
var<private> plain: vec3f;

fn clearSums() {
  plain = vec3f(0.0);
  for (var c = 0u; c < BATCH; c++) { sums[c] = vec3f(0.0); }
}

fn ofLevel(v: vec3f) -> f32 { return dot(v, vec3f(0.2126, 0.7152, 0.0722)) / valueF(LEVEL); }

fn add(light: vec3f) {
  if (!tinted) {
    plain += light;
    return;
  }
  for (var c = 0u; c < BATCH; c++) { sums[c] += throughput[c] * light; }
}

fn clamped(light: vec3f) -> vec3f {
  let most = largest(abs(light));
  if (most > lightLimit) { return light * (lightLimit / most); }
  return light;
}

fn addClamped(light: vec3f, scattered: bool) {
  if (scattered) { add(clamped(light)); } else { add(light); }
}

fn metalColour(metal: u32) -> u32 {
  return valueU(METAL_COLOURS_AT) + (metal * valueU(COLOURWAYS) + job.colour) * METAL_COLOUR_BYTES;
}

/* false when all colourways have gone dark */
fn tintByGem(gem: u32, length: f32) -> bool {
  var colour = valueU(GEM_COLOURS_AT) + ((gem * valueU(COLOURWAYS) + job.colour) << 4u);
  var most = vec3f(0.0);
  for (var c = 0u; c < BATCH; c++) {
    var t = decay(quadAt(colour).xyz * -length);
    if (tinted) { t *= throughput[c]; }
    throughput[c] = t;
    most = max(most, t);
    colour += 16u;
  }
  tinted = true;
  return largest(most) > DARK;
}

/* what a metal adds to a light and does to the path: c5, c6 and back as reflectance() has them */
struct Reflected { on: bool, fresnel: vec3f }

/*
 * Direct light reflected by metal, by the colours that the path has so far, and then the metal's own colour onto the path:
 * together, since what costs with many colourways is to read them. False when all have gone dark.
 */
fn meetColours(metal: u32, lights: Reflected, light: vec3f, tints: Reflected) -> bool {
  if (!lights.on && !tints.on) { return true; }
  var colour = metalColour(metal);
  var most = vec3f(0.0);
  for (var c = 0u; c < BATCH; c++) {
    let f0 = quadAt(colour).xyz;
    let b = quadAt(colour + 16u).xyz;
    var t = vec3f(1.0);
    if (tinted) { t = throughput[c]; }
    if (lights.on) { sums[c] += reflectance(f0, b, lights.fresnel) * light * t; }
    if (tints.on) {
      t *= reflectance(f0, b, tints.fresnel);
      throughput[c] = t;
    }
    most = max(most, t);
    colour += METAL_COLOUR_BYTES;
  }
  tinted = tinted || tints.on;
  return !tints.on || largest(most) > DARK;
}
`;
