/** The colours that ride on one path: kernel/colours.ts, here a batch of `planes` of them, from `job.colour` on. */
export const colours = (planes: number) => /* wgsl */ `
const BATCH: u32 = ${planes}u;
const DARK: f32 = 1e-5;
const CLAMP: f32 = 8.0;

var<private> throughput: array<vec3f, BATCH>;
var<private> sums: array<vec3f, BATCH>;
var<private> tinted: bool;
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
  if (most > CLAMP) { return light * (CLAMP / most); }
  return light;
}

fn addClamped(light: vec3f, scattered: bool) {
  if (scattered) { add(clamped(light)); } else { add(light); }
}

fn metalColour(metal: u32) -> u32 {
  return valueU(METAL_COLOURS_AT) + (metal * valueU(COLOURWAYS) + job.colour) * METAL_COLOUR_BYTES;
}

/* false when all colourways have gone dark */
fn tintByMetal(metal: u32, c5: f32, c6: f32, k: f32) -> bool {
  var colour = metalColour(metal);
  var most = vec3f(0.0);
  for (var c = 0u; c < BATCH; c++) {
    var t = reflectance(colour, c5, c6, k);
    if (tinted) { t *= throughput[c]; }
    throughput[c] = t;
    most = max(most, t);
    colour += METAL_COLOUR_BYTES;
  }
  tinted = true;
  return largest(most) > DARK;
}

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

fn addMetal(metal: u32, c5: f32, c6: f32, k: f32, light: vec3f) {
  var colour = metalColour(metal);
  for (var c = 0u; c < BATCH; c++) {
    var t = reflectance(colour, c5, c6, k) * light;
    if (tinted) { t *= throughput[c]; }
    sums[c] += t;
    colour += METAL_COLOUR_BYTES;
  }
}
`;
