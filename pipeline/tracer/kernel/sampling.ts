/**
 * Random numbers: Owen-scrambled Sobol points, two dimensions at a time, every pair decorrelated by hashing
 * (Burley, "Practical Hash-based Owen Scrambling", JCGT 9(4), 2020). A pixel's numbers depend only on the seed, its
 * coordinates and the sample's index.
 *
 * The first Sobol dimension is the bit-reversed index; the second multiplies the index by Pascal's triangle mod 2, which
 * is five masked shifts instead of a loop over direction numbers. The nested scramble's hash is Vegdahl's improvement of
 * the Laine–Karras permutation (2021).
 */

/** results of `draw` and of the shape mappings below */
export let u0: f32 = 0;
export let u1: f32 = 0;

let pixelHash: u32 = 0;
let reversedIndex: u32 = 0;
/** number of the next pair */
export let pair: u32 = 0;
let sampleHash: u32 = 0;
let streamState: u32 = 0;

/** beyond this many pairs a path has been scattered so often that stratification is gone: plain hashing is cheaper */
const STRATIFIED_PAIRS: u32 = 40;

function reverse(x: u32): u32 {
  x = ((x >> 1) & 0x55555555) | ((x & 0x55555555) << 1);
  x = ((x >> 2) & 0x33333333) | ((x & 0x33333333) << 2);
  x = ((x >> 4) & 0x0f0f0f0f) | ((x & 0x0f0f0f0f) << 4);
  x = ((x >> 8) & 0x00ff00ff) | ((x & 0x00ff00ff) << 8);
  return (x >> 16) | (x << 16);
}

function pascal(x: u32): u32 {
  x ^= (x & 0xaaaaaaaa) >> 1;
  x ^= (x & 0xcccccccc) >> 2;
  x ^= (x & 0xf0f0f0f0) >> 4;
  x ^= (x & 0xff00ff00) >> 8;
  return x ^ ((x & 0xffff0000) >> 16);
}

function permute(x: u32, seed: u32): u32 {
  x ^= x * 0x3d20adea;
  x += seed;
  x *= (seed >> 16) | 1;
  x ^= x * 0x05526c56;
  x ^= x * 0x53a22864;
  return x;
}

export function hash(x: u32): u32 {
  x ^= x >> 16;
  x *= 0x21f0aaad;
  x ^= x >> 15;
  x *= 0x735a2d97;
  x ^= x >> 15;
  return x;
}

function unit(x: u32): f32 {
  return <f32>(<i32>(x >> 8)) * <f32>5.9604644775390625e-8;
}

export function startPixel(x: u32, y: u32, seed: u32): void {
  pixelHash = hash(hash(hash(seed ^ 0x5bd1e995) + x * 0x9e3779b1) + y * 0x85ebca6b);
}

export function startSample(index: u32): void {
  reversedIndex = reverse(index);
  sampleHash = hash(pixelHash + index * 0xc2b2ae35);
  streamState = sampleHash;
  pair = 0;
}

/**
 * Starts a branch of the sample at pair `number` with a stream of its own: how long the first branch lived, which may
 * depend on colour, must not show in the second.
 */
export function jumpTo(number: u32): void {
  pair = number;
  streamState = hash(sampleHash ^ (number * 0x9e3779b9));
}

/** Next stratified pair into u0, u1, both in [0, 1). */
export function draw(): void {
  if (pair >= STRATIFIED_PAIRS) {
    u0 = stream();
    u1 = stream();
    return;
  }
  const h0 = hash(pixelHash ^ (++pair * 0x9e3779b9));
  const index = reverse(permute(reversedIndex, h0));
  const h1 = h0 * 0x2c1b3c6d + 0x297a2d39;
  const h2 = h1 * 0x2c1b3c6d + 0x297a2d39;
  u0 = unit(reverse(permute(index, h1 ^ (h1 >> 15))));
  u1 = unit(reverse(permute(pascal(index), h2 ^ (h2 >> 15))));
}

/** One plain random number in [0, 1), for decisions too deep to stratify (permuted congruential generator). */
export function stream(): f32 {
  streamState = streamState * 747796405 + 2891336453;
  let x = ((streamState >> ((streamState >> 28) + 4)) ^ streamState) * 277803737;
  x = (x >> 22) ^ x;
  return unit(x);
}

/** Power heuristic: the weight of a sample of density a that the other strategy gives with density b (Veach, 1997). */
export function powerWeight(a: f32, b: f32): f32 {
  const r = b / a;
  return <f32>1 / (<f32>1 + r * r);
}

/** sine and cosine of `turn` full turns, |turn| ≤ 4, error below 2e-7: no tables, no branches on the result's sign */
export let sine: f32 = 0;
export let cosine: f32 = 0;

export function circle(turn: f32): void {
  const q = nearest<f32>(turn * 4);
  const r = (turn - q * <f32>0.25) * <f32>6.283185307179586;
  const r2 = r * r;
  const s = r * (<f32>1 + r2 * (<f32>-0.16666666 + r2 * (<f32>0.008333332 + r2 * <f32>-0.00019840874)));
  const c = <f32>1 + r2 * (<f32>-0.5 + r2 * (<f32>0.041666664 + r2 * (<f32>-0.0013888397 + r2 * <f32>2.47609e-5)));
  const k = <i32>q & 3;
  const swapped = (k & 1) !== 0;
  const a = swapped ? c : s;
  const b = swapped ? s : c;
  sine = (k & 2) !== 0 ? -a : a;
  cosine = ((k + 1) & 2) !== 0 ? -b : b;
}
