/**
 * The studio: one-sided rectangles and the sky. Radiance along a direction is that of the nearest rectangle (its front
 * emits, its back is dark), else the sky's.
 *
 * Rectangles are sampled uniformly in solid angle (Ureña, Fajardo, King, "An Area-Preserving Parametrization for
 * Spherical Rectangles", EGSR 2013), in double precision because the angle sum cancels; where a rectangle looks small
 * it is sampled by area, which is then nearly the same and cannot cancel.
 */
import {
  LIGHT_BLOCK_BYTES,
  LIGHT_BLOCKS,
  LIGHT_BLOCKS_AT,
  LIGHT_BYTES,
  LIGHTS,
  LIGHTS_AT,
  SCRATCH,
  SKY_CHANCE,
} from './layout';
import { sampleSky, sky, skyDensity, skyX, skyY, skyZ } from './sky';
import { FAR } from './tree';

/** rectangles seen under less than about this solid angle are sampled by area */
const SMALL: f64 = 0.01;

/** results of `nearestLight`: index or −1, distance, place on the rectangle in [−1, 1]², and which side was hit */
export let lightIndex: i32 = -1;
export let lightT: f32 = 0;
export let lightA: f32 = 0;
export let lightB: f32 = 0;
export let lightFront: bool = false;

export function nearestLight(ox: f32, oy: f32, oz: f32, dx: f32, dy: f32, dz: f32, tmax: f32): void {
  let block: usize = load<u32>(LIGHT_BLOCKS_AT);
  const first = block;
  const end = block + load<u32>(LIGHT_BLOCKS) * LIGHT_BLOCK_BYTES;
  const vox = f32x4.splat(ox);
  const voy = f32x4.splat(oy);
  const voz = f32x4.splat(oz);
  const vdx = f32x4.splat(dx);
  const vdy = f32x4.splat(dy);
  const vdz = f32x4.splat(dz);
  const one = f32x4.splat(1);
  let best = tmax;
  lightIndex = -1;
  while (block < end) {
    const nx = v128.load(block);
    const ny = v128.load(block, 16);
    const nz = v128.load(block, 32);
    const nd = f32x4.add(f32x4.add(f32x4.mul(nx, vdx), f32x4.mul(ny, vdy)), f32x4.mul(nz, vdz));
    const no = f32x4.add(f32x4.add(f32x4.mul(nx, vox), f32x4.mul(ny, voy)), f32x4.mul(nz, voz));
    const t = f32x4.div(f32x4.sub(v128.load(block, 48), no), nd);
    const px = f32x4.add(vox, f32x4.mul(t, vdx));
    const py = f32x4.add(voy, f32x4.mul(t, vdy));
    const pz = f32x4.add(voz, f32x4.mul(t, vdz));
    const a = f32x4.sub(
      f32x4.add(
        f32x4.add(f32x4.mul(px, v128.load(block, 64)), f32x4.mul(py, v128.load(block, 80))),
        f32x4.mul(pz, v128.load(block, 96)),
      ),
      v128.load(block, 112),
    );
    const b = f32x4.sub(
      f32x4.add(
        f32x4.add(f32x4.mul(px, v128.load(block, 128)), f32x4.mul(py, v128.load(block, 144))),
        f32x4.mul(pz, v128.load(block, 160)),
      ),
      v128.load(block, 176),
    );
    let mask = i32x4.bitmask(
      v128.and(
        v128.and(f32x4.le(f32x4.abs(a), one), f32x4.le(f32x4.abs(b), one)),
        v128.and(f32x4.gt(t, f32x4.splat(1e-4)), f32x4.lt(t, f32x4.splat(best))),
      ),
    );
    if (mask !== 0) {
      v128.store(SCRATCH, t);
      v128.store(SCRATCH + 16, a);
      v128.store(SCRATCH + 32, b);
      v128.store(SCRATCH + 48, nd);
      do {
        const lane = <usize>ctz(mask) << 2;
        mask &= mask - 1;
        const lt = load<f32>(lane, SCRATCH);
        if (lt < best) {
          best = lt;
          lightIndex = <i32>(((block - first) / LIGHT_BLOCK_BYTES) << 2) + <i32>(lane >> 2);
          lightA = load<f32>(lane, SCRATCH + 16);
          lightB = load<f32>(lane, SCRATCH + 32);
          lightFront = load<f32>(lane, SCRATCH + 48) < 0;
        }
      } while (mask !== 0);
    }
    block += LIGHT_BLOCK_BYTES;
  }
  lightT = lightIndex >= 0 ? best : FAR;
}

/** Of `scene/softbox.ts`, whose test holds the two equal. */
function ramp(a: f32, perFalloff: f32): f32 {
  const x = min<f32>((<f32>1 - abs<f32>(a)) * perFalloff, 1);
  return x * x * (<f32>3 - <f32>2 * x);
}

/** Radiance leaving the front of light `index` at (a, b) of its [−1, 1]². */
export function emitted(index: i32, a: f32, b: f32): v128 {
  const light: usize = load<u32>(LIGHTS_AT) + index * LIGHT_BYTES;
  const k = load<f32>(light, 60);
  const radiance = v128.load(light, 64);
  return k > 0 ? f32x4.mul(radiance, f32x4.splat(ramp(a, k) * ramp(b, k))) : radiance;
}

/** spherical rectangle seen from a point; filled by `face` */
let x0: f64 = 0;
let x1: f64 = 0;
let y0: f64 = 0;
let y1: f64 = 0;
let z0: f64 = 0;
let b0: f64 = 0;
let b1: f64 = 0;
let k: f64 = 0;
let solidAngle: f64 = 0;
let small: bool = false;

/** False when the point is not in front of the light. */
function face(light: usize, px: f32, py: f32, pz: f32): bool {
  const cx = <f64>load<f32>(light) - <f64>px;
  const cy = <f64>load<f32>(light, 4) - <f64>py;
  const cz = <f64>load<f32>(light, 8) - <f64>pz;
  const halfU = <f64>load<f32>(light, 12);
  const halfV = <f64>load<f32>(light, 28);
  const xc = cx * <f64>load<f32>(light, 16) + cy * <f64>load<f32>(light, 20) + cz * <f64>load<f32>(light, 24);
  const yc = cx * <f64>load<f32>(light, 32) + cy * <f64>load<f32>(light, 36) + cz * <f64>load<f32>(light, 40);
  z0 = cx * <f64>load<f32>(light, 48) + cy * <f64>load<f32>(light, 52) + cz * <f64>load<f32>(light, 56);
  // the normal looks towards the point
  if (z0 >= -1e-6) return false;
  x0 = xc - halfU;
  x1 = xc + halfU;
  y0 = yc - halfV;
  y1 = yc + halfV;
  const r2 = xc * xc + yc * yc + z0 * z0;
  small = 4 * halfU * halfV * -z0 < SMALL * r2 * sqrt<f64>(r2);
  if (small) return true;
  const zz = z0 * z0;
  // unit normals of the pyramid's sides; each has one zero component
  b0 = -y0 / sqrt<f64>(y0 * y0 + zz);
  const n1 = x1 / sqrt<f64>(x1 * x1 + zz);
  b1 = y1 / sqrt<f64>(y1 * y1 + zz);
  const n3 = -x0 / sqrt<f64>(x0 * x0 + zz);
  const g0 = Math.acos(-b0 * n1);
  const g1 = Math.acos(-n1 * b1);
  const g2 = Math.acos(-b1 * n3);
  const g3 = Math.acos(-n3 * b0);
  k = 2 * Math.PI - g2 - g3;
  solidAngle = g0 + g1 - k;
  return solidAngle > 0;
}

/** results of `sampleLight`: unit direction, distance, density per solid angle, and the radiance coming from there */
export let toX: f32 = 0;
export let toY: f32 = 0;
export let toZ: f32 = 0;
export let toT: f32 = 0;
export let toPdf: f32 = 0;
export let toIndex: i32 = -1;
export let toRadiance: v128 = f32x4.splat(0);

/** Index of the light whose slice of [0, 1) holds the variate. */
export function pickLight(pick: f32): u32 {
  const last = max<i32>(<i32>load<u32>(LIGHTS) - 1, 0);
  let light: usize = load<u32>(LIGHTS_AT);
  let index = 0;
  while (index < last && pick >= load<f32>(light, 76)) {
    light += LIGHT_BYTES;
    index++;
  }
  return index;
}

/**
 * Whether any direction from a point to the light's bounding sphere may lie in the cone about (bx, by, bz), whose squared
 * length is b2 and 1 − cosine of whose half angle is `slice`. Compares the cosine of the axes' angle with that of the sum
 * of both half angles.
 */
export function meetsCone(index: u32, px: f32, py: f32, pz: f32, bx: f32, by: f32, bz: f32, b2: f32, slice: f32): bool {
  const light: usize = load<u32>(LIGHTS_AT) + index * LIGHT_BYTES;
  const x = load<f32>(light) - px;
  const y = load<f32>(light, 4) - py;
  const z = load<f32>(light, 8) - pz;
  const d2 = x * x + y * y + z * z;
  const u = load<f32>(light, 12);
  const v = load<f32>(light, 28);
  const s2 = (u * u + v * v) / d2;
  if (!(s2 < 1)) return true;
  const ca = <f32>1 - slice;
  const sa = sqrt<f32>(max<f32>(slice * (<f32>2 - slice), 0));
  const together = ca * sqrt<f32>(<f32>1 - s2) - sa * sqrt<f32>(s2);
  return x * bx + y * by + z * bz > (together - <f32>1e-4) * sqrt<f32>(d2 * b2);
}

/**
 * Picks a light and a direction to it with one pair of variates: the first picks and, stretched over the picked slice, goes
 * on as a coordinate, so that light and place stay stratified together. False when that light is not seen from here.
 */
export function sampleLight(px: f32, py: f32, pz: f32, first: f32, b: f32): bool {
  const skyChance = load<f32>(SKY_CHANCE);
  // the rectangles' slices end where the sky's begins
  if (skyChance > 0 && first >= <f32>1 - skyChance) {
    sampleSky(min<f32>((first + skyChance - <f32>1) / skyChance, <f32>0.99999994), b);
    toX = skyX;
    toY = skyY;
    toZ = skyZ;
    toT = FAR;
    toPdf = skyChance * skyDensity;
    toIndex = -1;
    toRadiance = sky(skyX, skyY, skyZ);
    return toPdf > 0;
  }
  if (load<u32>(LIGHTS) === 0) return false;
  const index = pickLight(first);
  const light: usize = load<u32>(LIGHTS_AT) + index * LIGHT_BYTES;
  const chance = load<f32>(light, 44);
  if (!(chance > 0) || !face(light, px, py, pz)) return false;
  const a = min<f32>(max<f32>((first - load<f32>(light, 76) + chance) / chance, 0), <f32>0.99999994);
  let lx: f64;
  let ly: f64;
  if (small) {
    lx = x0 + (x1 - x0) * <f64>a;
    ly = y0 + (y1 - y0) * <f64>b;
  } else {
    const au = <f64>a * solidAngle + k;
    circle64(au);
    const fu = (cosine64 * b0 - b1) / sine64;
    let cu = 1 / sqrt<f64>(fu * fu + b0 * b0);
    cu = min<f64>(max<f64>(fu > 0 ? cu : -cu, -1), 1);
    lx = -(cu * z0) / sqrt<f64>(max<f64>(1 - cu * cu, 1e-300));
    lx = min<f64>(max<f64>(lx, x0), x1);
    const d2 = lx * lx + z0 * z0;
    const h0 = y0 / sqrt<f64>(d2 + y0 * y0);
    const h1 = y1 / sqrt<f64>(d2 + y1 * y1);
    const h = h0 + <f64>b * (h1 - h0);
    ly = h * h < 1 - 1e-12 ? (h * sqrt<f64>(d2)) / sqrt<f64>(1 - h * h) : y1;
    ly = min<f64>(max<f64>(ly, y0), y1);
  }
  const t2 = lx * lx + ly * ly + z0 * z0;
  const t = sqrt<f64>(t2);
  const s = 1 / t;
  const wx = lx * s;
  const wy = ly * s;
  const wz = z0 * s;
  toX = <f32>(wx * <f64>load<f32>(light, 16) + wy * <f64>load<f32>(light, 32) + wz * <f64>load<f32>(light, 48));
  toY = <f32>(wx * <f64>load<f32>(light, 20) + wy * <f64>load<f32>(light, 36) + wz * <f64>load<f32>(light, 52));
  toZ = <f32>(wx * <f64>load<f32>(light, 24) + wy * <f64>load<f32>(light, 40) + wz * <f64>load<f32>(light, 56));
  toT = <f32>t;
  const density = small ? t2 * t / ((x1 - x0) * (y1 - y0) * -z0) : 1 / solidAngle;
  toPdf = chance * <f32>density;
  toIndex = index;
  const la = <f32>((2 * lx - x0 - x1) / (x1 - x0));
  const lb = <f32>((2 * ly - y0 - y1) / (y1 - y0));
  toRadiance = emitted(index, la, lb);
  return true;
}

/** Density per solid angle with which `sampleLight` at p would have chosen a unit direction that hits light `index`. */
export function lightPdf(index: i32, px: f32, py: f32, pz: f32, dx: f32, dy: f32, dz: f32, t: f32): f32 {
  const light: usize = load<u32>(LIGHTS_AT) + index * LIGHT_BYTES;
  const chance = load<f32>(light, 44);
  if (!(chance > 0) || !face(light, px, py, pz)) return 0;
  if (!small) return chance * <f32>(1 / solidAngle);
  const facing = -(dx * load<f32>(light, 48) + dy * load<f32>(light, 52) + dz * load<f32>(light, 56));
  return (chance * t * t) / (<f32>((x1 - x0) * (y1 - y0)) * max<f32>(facing, 1e-6));
}

let sine64: f64 = 0;
let cosine64: f64 = 0;

/** sine and cosine of 0 ≤ x ≤ 4π, error below 1e-11 */
function circle64(x: f64): void {
  const q = nearest<f64>(x * 0.6366197723675814);
  const r = x - q * 1.5707963267948966;
  const r2 = r * r;
  const s =
    r *
    (1 +
      r2 *
        (-0.16666666666666666 +
          r2 *
            (0.008333333333333333 +
              r2 * (-0.0001984126984126984 + r2 * (2.7557319223985893e-6 - r2 * 2.505210838544172e-8)))));
  const c =
    1 +
    r2 *
      (-0.5 +
        r2 *
          (0.041666666666666664 +
            r2 *
              (-0.001388888888888889 +
                r2 * (2.48015873015873e-5 + r2 * (-2.755731922398589e-7 + r2 * 2.08767569878681e-9)))));
  const quarter = <i32>q & 3;
  const swapped = (quarter & 1) !== 0;
  const a = swapped ? c : s;
  const b = swapped ? s : c;
  sine64 = (quarter & 2) !== 0 ? -a : a;
  cosine64 = ((quarter + 1) & 2) !== 0 ? -b : b;
}
