/** Random numbers and turns: kernel/sampling.ts, whose notes say what and why. */
export const sampling = /* wgsl */ `
var<private> u0: f32;
var<private> u1: f32;
var<private> pixelHash: u32;
var<private> reversedIndex: u32;
var<private> pair: u32;
var<private> sampleHash: u32;
var<private> streamState: u32;

const STRATIFIED_PAIRS: u32 = 40u;

fn pascal(value: u32) -> u32 {
  var x = value;
  x ^= (x & 0xaaaaaaaau) >> 1u;
  x ^= (x & 0xccccccccu) >> 2u;
  x ^= (x & 0xf0f0f0f0u) >> 4u;
  x ^= (x & 0xff00ff00u) >> 8u;
  return x ^ ((x & 0xffff0000u) >> 16u);
}

fn permute(value: u32, seed: u32) -> u32 {
  var x = value;
  x ^= x * 0x3d20adeau;
  x += seed;
  x *= (seed >> 16u) | 1u;
  x ^= x * 0x05526c56u;
  x ^= x * 0x53a22864u;
  return x;
}

fn hash(value: u32) -> u32 {
  var x = value;
  x ^= x >> 16u;
  x *= 0x21f0aaadu;
  x ^= x >> 15u;
  x *= 0x735a2d97u;
  x ^= x >> 15u;
  return x;
}

fn unit(x: u32) -> f32 { return f32(x >> 8u) * 5.9604644775390625e-8; }

fn startPixel(x: u32, y: u32, seed: u32) {
  pixelHash = hash(hash(hash(seed ^ 0x5bd1e995u) + x * 0x9e3779b1u) + y * 0x85ebca6bu);
}

fn startSample(index: u32) {
  reversedIndex = reverseBits(index);
  sampleHash = hash(pixelHash + index * 0xc2b2ae35u);
  streamState = sampleHash;
  pair = 0u;
}

fn jumpTo(number: u32) {
  pair = number;
  streamState = hash(sampleHash ^ (number * 0x9e3779b9u));
}

fn stream() -> f32 {
  streamState = streamState * 747796405u + 2891336453u;
  var x = ((streamState >> ((streamState >> 28u) + 4u)) ^ streamState) * 277803737u;
  x = (x >> 22u) ^ x;
  return unit(x);
}

fn draw() {
  if (pair >= STRATIFIED_PAIRS) {
    u0 = stream();
    u1 = stream();
    return;
  }
  pair += 1u;
  let h0 = hash(pixelHash ^ (pair * 0x9e3779b9u));
  let index = reverseBits(permute(reversedIndex, h0));
  let h1 = h0 * 0x2c1b3c6du + 0x297a2d39u;
  let h2 = h1 * 0x2c1b3c6du + 0x297a2d39u;
  u0 = unit(reverseBits(permute(index, h1 ^ (h1 >> 15u))));
  u1 = unit(reverseBits(permute(pascal(index), h2 ^ (h2 >> 15u))));
}

fn powerWeight(a: f32, b: f32) -> f32 {
  let r = b / a;
  return 1.0 / (1.0 + r * r);
}

/* sine and cosine of so many turns; the language's own may be off by 5e-4 */
fn circle(turn: f32) -> vec2f {
  let q = round(turn * 4.0);
  let r = (turn - q * 0.25) * 6.283185307179586;
  let r2 = r * r;
  let s = r * (1.0 + r2 * (-0.16666666 + r2 * (0.008333332 + r2 * -0.00019840874)));
  let c = 1.0 + r2 * (-0.5 + r2 * (0.041666664 + r2 * (-0.0013888397 + r2 * 2.47609e-5)));
  let k = i32(q) & 3;
  let swapped = (k & 1) != 0;
  let a = select(s, c, swapped);
  let b = select(c, s, swapped);
  return vec2f(select(a, -a, (k & 2) != 0), select(b, -b, ((k + 1) & 2) != 0));
}

fn withSign(x: f32, like: f32) -> f32 {
  return bitcast<f32>((bitcast<u32>(x) & 0x7fffffffu) | (bitcast<u32>(like) & 0x80000000u));
}

fn largest(v: vec3f) -> f32 { return max(max(v.x, v.y), v.z); }
`;
