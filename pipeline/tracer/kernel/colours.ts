/**
 * The colours that ride on one path. `THROUGHPUT` holds the colour part per colourway (metal reflectance, absorption) and is
 * touched only when it changes; while nothing has coloured a path yet (`tinted` = false) its light goes to one shared sum.
 */
import {
  COLOURWAYS,
  GEM_COLOURS_AT,
  LEVEL,
  METAL_COLOUR_BYTES,
  METAL_COLOURS_AT,
  SUM,
  THROUGHPUT,
} from './layout';
import { reflectance } from './metal';
import { decay } from './stone';

/** all throughputs below this: the path can no longer be seen */
const DARK: f32 = 1e-5;
/**
 * Firefly clamp, in film units (white = 1): the most one light contribution may bring after a path has been scattered by
 * the ground or by a rough metal. Decided on the colour-free bound (every reflectance taken as 1). It takes 0.03 % of the
 * film's mean in a studio of softboxes (band, ten stones, white ground) and 0.6 % with the same power in lamps of a hundred
 * and fiftieth of the area.
 */
const CLAMP: f32 = 8;
/** the clamp of this path: a dark ground, which returns little of what meets it, may not return a speck */
let limit: f32 = CLAMP;

let colourways: u32 = 0;
let tinted: bool = false;
let shared: v128 = f32x4.splat(0);

/** Starts a pixel: sums to zero. */
export function clearSums(): void {
  colourways = load<u32>(COLOURWAYS);
  shared = f32x4.splat(0);
  for (let c: usize = 0; c < colourways; c++) v128.store(c << 4, f32x4.splat(0), SUM);
}

/** Starts a path, or the second branch of one: every throughput is 1. */
export function clearTint(): void {
  tinted = false;
}

/** Starts a path's clamp. */
export function clearLimit(): void {
  limit = CLAMP;
}

/** From here on the path brings at most this share of the clamp. */
export function limitTo(share: f32): void {
  limit = min<f32>(limit, CLAMP * share);
}

/** The pixel's sum in colourway c. */
export function pixelSum(c: u32): v128 {
  return f32x4.add(v128.load(<usize>c << 4, SUM), shared);
}

/** Film luminance in shares of the level (Rec. ITU-R BT.709, item 3.2). */
export function ofLevel(v: v128): f32 {
  const y =
    f32x4.extract_lane(v, 0) * <f32>0.2126 + f32x4.extract_lane(v, 1) * <f32>0.7152 + f32x4.extract_lane(v, 2) * <f32>0.0722;
  return y / load<f32>(LEVEL);
}

export function splat(x: f32): v128 {
  return f32x4.splat(x);
}

export function largest(v: v128): f32 {
  return max<f32>(max<f32>(f32x4.extract_lane(v, 0), f32x4.extract_lane(v, 1)), f32x4.extract_lane(v, 2));
}

/** Adds light on the current path to every colourway. */
export function add(light: v128): void {
  if (!tinted) {
    shared = f32x4.add(shared, light);
    return;
  }
  const end: usize = <usize>colourways << 4;
  for (let c: usize = 0; c < end; c += 16) {
    v128.store(c, f32x4.add(v128.load(c, SUM), f32x4.mul(v128.load(c, THROUGHPUT), light)), SUM);
  }
}

export function addClamped(light: v128, scattered: bool): void {
  add(scattered ? clamped(light) : light);
}

export function clamped(light: v128): v128 {
  const most = largest(f32x4.abs(light));
  return most > limit ? f32x4.mul(light, splat(limit / most)) : light;
}

/** Multiplies every colourway's throughput by metal reflectance; false when all have gone dark. */
export function tintByMetal(metal: u32, c5: f32, c6: f32, k: f32): bool {
  const v5 = splat(c5);
  const v6 = splat(c6);
  const vk = splat(k);
  let colour: usize = load<u32>(METAL_COLOURS_AT) + metal * colourways * METAL_COLOUR_BYTES;
  const end: usize = <usize>colourways << 4;
  let most = splat(0);
  for (let c: usize = 0; c < end; c += 16) {
    let t = reflectance(colour, v5, v6, vk);
    if (tinted) t = f32x4.mul(t, v128.load(c, THROUGHPUT));
    v128.store(c, t, THROUGHPUT);
    most = f32x4.pmax(most, t);
    colour += METAL_COLOUR_BYTES;
  }
  tinted = true;
  return largest(most) > DARK;
}

/** Beer–Lambert over `length` mm; false when all colourways have gone dark. */
export function tintByGem(gem: u32, length: f32): bool {
  const path = splat(-length);
  let colour: usize = load<u32>(GEM_COLOURS_AT) + ((gem * colourways) << 4);
  const end: usize = <usize>colourways << 4;
  let most = splat(0);
  for (let c: usize = 0; c < end; c += 16) {
    let t = decay(f32x4.mul(v128.load(colour), path));
    if (tinted) t = f32x4.mul(t, v128.load(c, THROUGHPUT));
    v128.store(c, t, THROUGHPUT);
    most = f32x4.pmax(most, t);
    colour += 16;
  }
  tinted = true;
  return largest(most) > DARK;
}

/** Adds direct light reflected by metal: the current throughput times the reflectance at the half vector. */
export function addMetal(metal: u32, c5: f32, c6: f32, k: f32, light: v128, scattered: bool): void {
  if (scattered) light = clamped(light);
  const v5 = splat(c5);
  const v6 = splat(c6);
  const vk = splat(k);
  let colour: usize = load<u32>(METAL_COLOURS_AT) + metal * colourways * METAL_COLOUR_BYTES;
  const end: usize = <usize>colourways << 4;
  for (let c: usize = 0; c < end; c += 16) {
    let t = f32x4.mul(reflectance(colour, v5, v6, vk), light);
    if (tinted) t = f32x4.mul(t, v128.load(c, THROUGHPUT));
    v128.store(c, f32x4.add(v128.load(c, SUM), t), SUM);
    colour += METAL_COLOUR_BYTES;
  }
}

/** What a body of colour under a coat returns in one colourway: the coat's share as it is, the rest in the tone. */
// @ts-ignore: decorator
@inline
function returned(colour: usize, shine: v128, body: v128, tone: v128): v128 {
  const first = v128.load(colour);
  const here = f32x4.add(first, f32x4.mul(tone, f32x4.sub(v128.load(colour, 16), first)));
  return f32x4.add(shine, f32x4.mul(body, here));
}

/** Multiplies every colourway's throughput by what a body returns of which `shine` is the coat's; false when all have gone dark. */
export function tintByBody(metal: u32, shine: f32, tone: f32): bool {
  const vs = splat(shine);
  const vb = splat(<f32>1 - shine);
  const vt = splat(tone);
  let colour: usize = load<u32>(METAL_COLOURS_AT) + metal * colourways * METAL_COLOUR_BYTES;
  const end: usize = <usize>colourways << 4;
  let most = splat(0);
  for (let c: usize = 0; c < end; c += 16) {
    let t = returned(colour, vs, vb, vt);
    if (tinted) t = f32x4.mul(t, v128.load(c, THROUGHPUT));
    v128.store(c, t, THROUGHPUT);
    most = f32x4.pmax(most, t);
    colour += METAL_COLOUR_BYTES;
  }
  tinted = true;
  return largest(most) > DARK;
}

/** Adds direct light that a coated body returns, `shine` of it from the coat. */
export function addBody(metal: u32, shine: f32, tone: f32, light: v128, scattered: bool): void {
  if (scattered) light = clamped(light);
  const vs = splat(shine);
  const vb = splat(<f32>1 - shine);
  const vt = splat(tone);
  let colour: usize = load<u32>(METAL_COLOURS_AT) + metal * colourways * METAL_COLOUR_BYTES;
  const end: usize = <usize>colourways << 4;
  for (let c: usize = 0; c < end; c += 16) {
    let t = f32x4.mul(returned(colour, vs, vb, vt), light);
    if (tinted) t = f32x4.mul(t, v128.load(c, THROUGHPUT));
    v128.store(c, f32x4.add(v128.load(c, SUM), t), SUM);
    colour += METAL_COLOUR_BYTES;
  }
}
