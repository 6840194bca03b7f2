/**
 * Solid patterns: which of two layers, or which tone of wood, a place of a band lies in. A pure function of the place in the
 * band's own coordinates, so that patterns turn with the band, go through it and run over its edges.
 *
 * Layers: sheets of two metals, stacked along the radius, in bars beside each other. A bar that is twisted turns its stack
 * about the bar's middle line, whole turns in one way round the ring, neighbours in opposite ways. Sheets are bent by smooth
 * noise, as punches and hammer bend them. The edge between them is sharp: samples of a pixel make it soft, at every size.
 *
 * Wood: rings about a pith, light early wood darkening to late wood, then pores, long along the fibre (after Buchanan,
 * "Simulating Wood Using a Voxel Approach", Eurographics 1998, and the ring noise of Peachey, SIGGRAPH 1985).
 */
import { locate, placeHeight, placeX, placeY } from './band-place';
import { LAYERED, OTHER_LAYER, PATTERN, PATTERN_NUMBERS } from './layout';
import { turnOf } from './relief';
import { circle, cosine, hash, sine } from './sampling';

/** result of `patterned`: how far a place is on the way from the first tone to the second, 0…1 */
export let tone: f32 = 0;

/** Tone of late wood; pores, in the dark, have the whole. */
const LATE: f32 = 0.65;
/** Pores along the fibre are so much longer than wide. */
const PORE_LENGTH: f32 = 14;

// @ts-ignore: decorator
@inline
function corner(i: i32, j: i32, k: i32, salt: u32): f32 {
  return (
    <f32>(hash((<u32>i * 0x9e3779b9) ^ hash((<u32>j * 0x85ebca6b) ^ hash(<u32>k * 0xc2b2ae35 + salt))) >>> 8) *
      <f32>(2.0 / 16777216.0) -
    <f32>1
  );
}

// @ts-ignore: decorator
@inline
function between(a: f32, b: f32, t: f32): f32 {
  return a + t * (b - a);
}

/** Value noise in −1…1. */
export function solidNoise(x: f32, y: f32, z: f32, salt: u32): f32 {
  const fx = floor<f32>(x);
  const fy = floor<f32>(y);
  const fz = floor<f32>(z);
  let a = x - fx;
  let b = y - fy;
  let c = z - fz;
  a = a * a * (<f32>3 - <f32>2 * a);
  b = b * b * (<f32>3 - <f32>2 * b);
  c = c * c * (<f32>3 - <f32>2 * c);
  const i = <i32>fx;
  const j = <i32>fy;
  const k = <i32>fz;
  const near = between(
    between(corner(i, j, k, salt), corner(i + 1, j, k, salt), a),
    between(corner(i, j + 1, k, salt), corner(i + 1, j + 1, k, salt), a),
    b,
  );
  const far = between(
    between(corner(i, j, k + 1, salt), corner(i + 1, j, k + 1, salt), a),
    between(corner(i, j + 1, k + 1, salt), corner(i + 1, j + 1, k + 1, salt), a),
    b,
  );
  return between(near, far, c);
}

/**
 * How far a place lies into a sheet of the first metal, in stacks of two sheets: 0…1, the second metal from its share on.
 * Numbers: stacks a mm, share, whole turns, width of bars (0 = one), bend in mm, bends a mm, seed, radius of the middle.
 */
export function layerAt(numbers: usize, x: f32, y: f32, z: f32): f32 {
  const seed = <u32>load<f32>(numbers, 24);
  const out = sqrt<f32>(x * x + y * y) - load<f32>(numbers, 28);
  const turns = load<f32>(numbers, 8);
  const wide = load<f32>(numbers, 12);
  let across = z;
  let way: f32 = 1;
  let start: f32 = 0;
  if (wide > 0) {
    const bar = nearest<f32>(z / wide);
    across = z - bar * wide;
    if ((<i32>bar & 1) !== 0) way = -1;
    start = <f32>0.5 * corner(<i32>bar, 0, 0, seed + 5);
  }
  let height = out;
  if (turns > 0) {
    const angle = way * turns * turnOf(x, y) + start;
    circle(angle - floor<f32>(angle));
    height = cosine * out + sine * across;
  }
  const fine = load<f32>(numbers, 20);
  const bend = load<f32>(numbers, 16);
  if (bend > 0) height += bend * solidNoise(x * fine, y * fine, z * fine, seed);
  const stack = height * load<f32>(numbers) + <f32>64;
  return stack - floor<f32>(stack);
}

/**
 * Tone of wood, 0 (light) … 1 (dark). Numbers: rings a mm, distance of the pith in mm, 1 where the fibre goes round (0 straight
 * through), pores a mm, share of the early wood that is pores, waver in rings, seed, radius of the middle.
 */
export function woodAt(numbers: usize, x: f32, y: f32, z: f32): f32 {
  const seed = <u32>load<f32>(numbers, 24);
  const pith = load<f32>(numbers, 4);
  let along = x;
  let up = y;
  if (load<f32>(numbers, 8) > 0) {
    const middle = load<f32>(numbers, 28);
    along = turnOf(x, y) * middle * <f32>6.283185307;
    up = sqrt<f32>(x * x + y * y) - middle;
  }
  const rings = load<f32>(numbers);
  const away = pith + z;
  let ring = sqrt<f32>(up * up + away * away) * rings;
  ring += load<f32>(numbers, 20) * solidNoise(along * <f32>0.12, up * <f32>0.5, z * <f32>0.5, seed);
  const year = floor<f32>(ring);
  const late = ring - year;
  // years differ, and late wood ends at once where the next year begins
  const own = <f32>0.75 + <f32>0.25 * corner(<i32>year, 1, 2, seed + 1);
  let dark = LATE * own * late * late * (<f32>3 - <f32>2 * late);
  // fibres: fine streaks along the grain
  dark += <f32>0.12 * solidNoise(along * <f32>0.8, up * <f32>14, z * <f32>14, seed + 2);
  const pores = load<f32>(numbers, 12);
  if (pores > 0) {
    const a = along * pores * (<f32>1 / PORE_LENGTH);
    const c = z * pores;
    const j = floor<f32>(c);
    // a surface along the fibre cuts each column of pores at another depth
    const b = up * pores + <f32>4 * corner(<i32>j, 5, 1, seed + 6);
    const i = floor<f32>(b);
    const k = floor<f32>(a + <f32>7 * corner(<i32>i, <i32>j, 3, seed + 3));
    const open = corner(<i32>i, <i32>j, <i32>k, seed + 4) * <f32>0.5 + <f32>0.5;
    if (open < load<f32>(numbers, 16) * (<f32>1.5 - late)) {
      const u = b - i - <f32>0.5;
      const v = c - j - <f32>0.5;
      const r2 = (u * u + v * v) * <f32>6;
      if (r2 < 1) dark = max<f32>(dark, <f32>1 - r2 * r2);
    }
  }
  return min<f32>(max<f32>(dark, 0), 1);
}

/** The surface record that holds at a place (x, y, z) in the world of a patterned surface, and the tone there. */
export function patterned(surface: usize, x: f32, y: f32, z: f32): usize {
  locate(surface, x, y, z);
  const p = placeX;
  const q = placeY;
  const height = placeHeight;
  const numbers = surface + PATTERN_NUMBERS;
  tone = 0;
  if (load<f32>(surface, PATTERN) === <f32>LAYERED) {
    return layerAt(numbers, p, q, height) < load<f32>(numbers, 4) ? surface : <usize>load<u32>(surface, OTHER_LAYER);
  }
  tone = woodAt(numbers, p, q, height);
  return surface;
}
