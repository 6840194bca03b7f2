/** Optics of transparent stones. */
import { WAVE, WAVE_STEPS } from './layout';

/** Unpolarised reflectance of a dielectric: `ci` cosine outside or inside, `ratio` = index here / index beyond. */
export function fresnel(ci: f32, ratio: f32): f32 {
  const s2 = ratio * ratio * (<f32>1 - ci * ci);
  if (s2 >= 1) return 1;
  const ct = sqrt<f32>(<f32>1 - s2);
  const s = (ratio * ci - ct) / (ratio * ci + ct);
  const p = (ci - ratio * ct) / (ci + ratio * ct);
  return <f32>0.5 * (s * s + p * p);
}

/** Weight r g b and wavelength [µm] in lane 3 for a uniform variate, linear between the table's entries. */
export function wave(u: f32): v128 {
  const x = u * <f32>WAVE_STEPS;
  const i = min<i32>(<i32>x, WAVE_STEPS - 1);
  const at: usize = WAVE + (i << 4);
  const a = v128.load(at);
  const b = v128.load(at, 16);
  return f32x4.add(a, f32x4.mul(f32x4.splat(x - <f32>i), f32x4.sub(b, a)));
}

/** exp(x) for x ≤ 0, four at a time, relative error below 2e-6 down to e⁻²⁰; exactly 1 at 0. */
export function decay(x: v128): v128 {
  const t = f32x4.mul(f32x4.pmax(x, f32x4.splat(-87)), f32x4.splat(1.4426950408889634));
  const n = f32x4.nearest(t);
  const f = f32x4.mul(f32x4.sub(t, n), f32x4.splat(0.6931471805599453));
  let p = f32x4.splat(0.0013888889);
  p = f32x4.add(f32x4.mul(p, f), f32x4.splat(0.008333334));
  p = f32x4.add(f32x4.mul(p, f), f32x4.splat(0.041666668));
  p = f32x4.add(f32x4.mul(p, f), f32x4.splat(0.16666667));
  p = f32x4.add(f32x4.mul(p, f), f32x4.splat(0.5));
  p = f32x4.add(f32x4.mul(p, f), f32x4.splat(1));
  p = f32x4.add(f32x4.mul(p, f), f32x4.splat(1));
  const scale = i32x4.shl(i32x4.add(i32x4.trunc_sat_f32x4_s(n), i32x4.splat(127)), 23);
  return f32x4.mul(p, scale);
}
