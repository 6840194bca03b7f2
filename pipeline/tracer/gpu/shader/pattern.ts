/** Layers and wood: kernel/pattern.ts, which says what its numbers are. */
export const patterns = /* wgsl */ `
const LATE: f32 = 0.65;
const PORE_LENGTH: f32 = 14.0;
/* how far the place last met is on the way from the first tone to the second */
var<private> patternTone: f32;

fn solidCorner(i: i32, j: i32, k: i32, salt: u32) -> f32 {
  let h = hash((u32(i) * 0x9e3779b9u) ^ hash((u32(j) * 0x85ebca6bu) ^ hash(u32(k) * 0xc2b2ae35u + salt)));
  return f32(h >> 8u) * (2.0 / 16777216.0) - 1.0;
}

fn solidNoise(p: vec3f, salt: u32) -> f32 {
  let f = floor(p);
  var t = p - f;
  t = t * t * (3.0 - 2.0 * t);
  let c = vec3i(f);
  var sides: array<f32, 2>;
  for (var k = 0; k < 2; k++) {
    let low = mix_(solidCorner(c.x, c.y, c.z + k, salt), solidCorner(c.x + 1, c.y, c.z + k, salt), t.x);
    let high = mix_(solidCorner(c.x, c.y + 1, c.z + k, salt), solidCorner(c.x + 1, c.y + 1, c.z + k, salt), t.x);
    sides[k] = mix_(low, high, t.y);
  }
  return mix_(sides[0], sides[1], t.z);
}

fn mix_(a: f32, b: f32, t: f32) -> f32 { return a + t * (b - a); }

/* p: in the band's own coordinates; a and b: the pattern's eight numbers */
fn layerAt(a: vec4f, b: vec4f, p: vec3f) -> f32 {
  let seed = u32(b.z);
  let out = sqrt(p.x * p.x + p.y * p.y) - b.w;
  var across = p.z;
  var way = 1.0;
  var start = 0.0;
  if (a.w > 0.0) {
    let bar = round(p.z / a.w);
    across = p.z - bar * a.w;
    if ((i32(bar) & 1) != 0) { way = -1.0; }
    start = 0.5 * solidCorner(i32(bar), 0, 0, seed + 5u);
  }
  var height = out;
  if (a.z > 0.0) {
    let angle = way * a.z * turnOf(p.x, p.y) + start;
    let turn = circle(angle - floor(angle));
    height = turn.y * out + turn.x * across;
  }
  if (b.x > 0.0) { height += b.x * solidNoise(p * b.y, seed); }
  let stack = height * a.x + 64.0;
  return stack - floor(stack);
}

fn woodAt(a: vec4f, b: vec4f, p: vec3f) -> f32 {
  let seed = u32(b.z);
  var along = p.x;
  var up = p.y;
  if (a.z > 0.0) {
    along = turnOf(p.x, p.y) * b.w * 6.283185307;
    up = sqrt(p.x * p.x + p.y * p.y) - b.w;
  }
  let away = a.y + p.z;
  var ring = sqrt(up * up + away * away) * a.x;
  ring += b.y * solidNoise(vec3f(along * 0.12, up * 0.5, p.z * 0.5), seed);
  let year = floor(ring);
  let late = ring - year;
  let own = 0.75 + 0.25 * solidCorner(i32(year), 1, 2, seed + 1u);
  var dark = LATE * own * late * late * (3.0 - 2.0 * late);
  dark += 0.12 * solidNoise(vec3f(along * 0.8, up * 14.0, p.z * 14.0), seed + 2u);
  if (a.w > 0.0) {
    let w = p.z * a.w;
    let j = floor(w);
    let v = up * a.w + 4.0 * solidCorner(i32(j), 5, 1, seed + 6u);
    let i = floor(v);
    let k = floor(along * a.w * (1.0 / PORE_LENGTH) + 7.0 * solidCorner(i32(i), i32(j), 3, seed + 3u));
    let open = solidCorner(i32(i), i32(j), i32(k), seed + 4u) * 0.5 + 0.5;
    if (open < b.x * (1.5 - late)) {
      let y = v - i - 0.5;
      let z = w - j - 0.5;
      let r2 = (y * y + z * z) * 6.0;
      if (r2 < 1.0) { dark = max(dark, 1.0 - r2 * r2); }
    }
  }
  return clamp(dark, 0.0, 1.0);
}

/* the surface record that holds at a place in the world; leaves the tone there */
fn patterned(surface: u32, place: vec3f) -> u32 {
  let p = bandPlace(surface, place);
  let a = quadAt(surface + PATTERN_NUMBERS);
  let b = quadAt(surface + PATTERN_NUMBERS + 16u);
  if (floatAt(surface + PATTERN) == f32(LAYERED)) {
    if (layerAt(a, b, p) < a.y) { return surface; }
    return wordAt(surface + OTHER_LAYER);
  }
  patternTone = woodAt(a, b, p);
  return surface;
}
`;
