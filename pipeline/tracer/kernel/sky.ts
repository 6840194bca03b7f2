/**
 * The sky: what shines from infinity. Either a dome over elevation, or a picture of all directions (latitude and
 * longitude, straight up first, looking at −z in its middle), sampled by its brightness: a row by its share of light,
 * then a texel of the row, then a place in it, uniform in both angles (Pharr, Jakob, Humphreys, "Physically Based
 * Rendering", 4th ed., § 12.5). Radiance is linear between texel centres; a texel's share is that of its neighbourhood,
 * so no direction that shines is without density.
 */
import {
  DOME_AT,
  DOME_STEPS,
  SKY_AT,
  SKY_CHANCE,
  SKY_COLUMNS_AT,
  SKY_HEIGHT,
  SKY_ROWS_AT,
  SKY_TURN,
  SKY_WIDTH,
} from './layout';
import { circle, cosine, powerWeight, sine } from './sampling';

const PI: f32 = 3.14159265358979;

/** Dome radiance in a unit direction of height `y`; even steps of elevation, linear between. */
function dome(y: f32): v128 {
  const steps = load<u32>(DOME_STEPS);
  const at: usize = load<u32>(DOME_AT);
  if (steps === 1) return v128.load(at);
  const x = (arcsine(y) * <f32>0.3183098861837907 + <f32>0.5) * <f32>(<i32>steps - 1);
  const i = min<i32>(max<i32>(<i32>x, 0), <i32>steps - 2);
  const f = x - <f32>i;
  const a = v128.load(at + (i << 4));
  const b = v128.load(at + (i << 4), 16);
  return f32x4.add(a, f32x4.mul(f32x4.splat(f), f32x4.sub(b, a)));
}

/** Abramowitz and Stegun 4.4.46, error below 2e-8 (here float rounding). */
function arcsine(x: f32): f32 {
  const a = min<f32>(abs<f32>(x), 1);
  let p: f32 = -0.0012624911;
  p = p * a + <f32>0.0066700901;
  p = p * a - <f32>0.0170881256;
  p = p * a + <f32>0.030891881;
  p = p * a - <f32>0.0501743046;
  p = p * a + <f32>0.0889789874;
  p = p * a - <f32>0.2145988016;
  p = p * a + <f32>1.5707963050;
  const r = <f32>1.5707963267948966 - sqrt<f32>(<f32>1 - a) * p;
  return copysign<f32>(r, x);
}

/** Place of a unit direction across the picture, [0, 1). */
function across(x: f32, z: f32): f32 {
  const u = Mathf.atan2(x, -z) * (<f32>0.5 / PI) + <f32>0.5 + load<f32>(SKY_TURN);
  return u - floor<f32>(u);
}

/** Place of a height from the top of the picture, [0, 1]. */
function down(y: f32): f32 {
  return <f32>0.5 - arcsine(y) / PI;
}

/** Radiance from a unit direction. */
export function sky(x: f32, y: f32, z: f32): v128 {
  if (!(load<f32>(SKY_CHANCE) > 0)) return dome(y);
  const width = <i32>load<u32>(SKY_WIDTH);
  const height = <i32>load<u32>(SKY_HEIGHT);
  const c = across(x, z) * <f32>width - <f32>0.5;
  const r = min<f32>(max<f32>(down(y) * <f32>height - <f32>0.5, 0), <f32>(height - 1));
  const i = <i32>floor<f32>(c);
  const j = min<i32>(<i32>r, height - 2);
  const i0 = i < 0 ? width - 1 : i;
  const i1 = i0 + 1 === width ? 0 : i0 + 1;
  const fc = f32x4.splat(c - <f32>i);
  const fr = f32x4.splat(r - <f32>j);
  const row: usize = load<u32>(SKY_AT) + <usize>(j * width) * 16;
  const below: usize = row + <usize>width * 16;
  const a = v128.load(row + (<usize>i0 << 4));
  const b = v128.load(row + (<usize>i1 << 4));
  const d = v128.load(below + (<usize>i0 << 4));
  const e = v128.load(below + (<usize>i1 << 4));
  const top = f32x4.add(a, f32x4.mul(fc, f32x4.sub(b, a)));
  const bottom = f32x4.add(d, f32x4.mul(fc, f32x4.sub(e, d)));
  return f32x4.add(top, f32x4.mul(fr, f32x4.sub(bottom, top)));
}

/** Index of the step of a cumulative table (`count` + 1 entries from 0 to 1) in which u lies. */
function step(table: usize, count: i32, u: f32): i32 {
  let low = 0;
  let high = count;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (load<f32>(table + (<usize>middle << 2)) <= u) low = middle;
    else high = middle;
  }
  return low;
}

/** Density per solid angle of a texel, its picking among other lights left out. */
function density(j: i32, i: i32, s: f32): f32 {
  const width = <i32>load<u32>(SKY_WIDTH);
  const height = <i32>load<u32>(SKY_HEIGHT);
  const rows: usize = load<u32>(SKY_ROWS_AT) + (<usize>j << 2);
  const columns: usize = load<u32>(SKY_COLUMNS_AT) + (<usize>(j * (width + 1) + i) << 2);
  const p = (load<f32>(rows, 4) - load<f32>(rows)) * (load<f32>(columns, 4) - load<f32>(columns));
  return (p * <f32>width * <f32>height) / (<f32>2 * PI * PI * max<f32>(s, 1e-4));
}

/** Density with which `sampleSky` chooses a unit direction. */
export function skyPdf(x: f32, y: f32, z: f32): f32 {
  const width = <i32>load<u32>(SKY_WIDTH);
  const height = <i32>load<u32>(SKY_HEIGHT);
  const i = min<i32>(<i32>(across(x, z) * <f32>width), width - 1);
  const j = min<i32>(max<i32>(<i32>(down(y) * <f32>height), 0), height - 1);
  return density(j, i, sqrt<f32>(max<f32>(<f32>1 - y * y, 0)));
}

/** results of `sampleSky` */
export let skyX: f32 = 0;
export let skyY: f32 = 0;
export let skyZ: f32 = 0;
export let skyDensity: f32 = 0;

export function sampleSky(a: f32, b: f32): void {
  const width = <i32>load<u32>(SKY_WIDTH);
  const height = <i32>load<u32>(SKY_HEIGHT);
  const rows: usize = load<u32>(SKY_ROWS_AT);
  const j = step(rows, height, a);
  const r0 = load<f32>(rows + (<usize>j << 2));
  const r1 = load<f32>(rows + (<usize>j << 2), 4);
  const columns: usize = load<u32>(SKY_COLUMNS_AT) + (<usize>(j * (width + 1)) << 2);
  const i = step(columns, width, b);
  const c0 = load<f32>(columns + (<usize>i << 2));
  const c1 = load<f32>(columns + (<usize>i << 2), 4);
  const v = (<f32>j + min<f32>((a - r0) / (r1 - r0), <f32>0.9999)) / <f32>height;
  const u = (<f32>i + min<f32>((b - c0) / (c1 - c0), <f32>0.9999)) / <f32>width;
  circle(v * <f32>0.5);
  const s = sine;
  skyY = cosine;
  circle(u - <f32>0.5 - load<f32>(SKY_TURN));
  skyX = s * sine;
  skyZ = -s * cosine;
  skyDensity = density(j, i, s);
}

/** The sky's light in a direction chosen with this density, 0 for mirrors; a pictured sky shares with its own sampling. */
export function fromSky(dx: f32, dy: f32, dz: f32, pdf: f32): v128 {
  const light = sky(dx, dy, dz);
  const chance = load<f32>(SKY_CHANCE);
  if (!(chance > 0 && pdf > 0)) return light;
  return f32x4.mul(light, f32x4.splat(powerWeight(pdf, chance * skyPdf(dx, dy, dz))));
}
