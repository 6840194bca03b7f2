/**
 * Metal: anisotropic GGX (Trowbridge–Reitz) with height-correlated Smith shadowing (Heitz, JCGT 3(2), 2014), sampled by
 * visible normals as spherical caps (Dupuy & Benyoub, "Sampling Visible GGX Normals with Spherical Caps", HPG 2023).
 * All directions are local: z is the shading normal.
 *
 * Light lost between microfacets is given back by scaling the lobe with 1 + F0 (1 − E) / E, E being the lobe's directional
 * albedo for F = 1 (Turquin, "Practical multiple scattering compensation for microfacet models", 2019): exact for a
 * perfect reflector, and it saturates the colour as repeated reflection does.
 *
 * Fresnel: Schlick's curve with a tint at 82° (Kutz, Hasan, Edmondson, "Novel aspects of the Adobe Standard Material",
 * 2021): F(c) = F0 + (1 − F0)(1 − c)^5 − b c (1 − c)^6.
 */
import { ALBEDO_MU, ALBEDO_TURN } from './layout';
import { circle, cosine, sine } from './sampling';

const PI: f32 = 3.14159265358979;

/** results of `sampleNormal` */
export let mx: f32 = 0;
export let my: f32 = 0;
export let mz: f32 = 0;

/** A microfacet normal visible from (x, y, z), z > 0. */
export function sampleNormal(x: f32, y: f32, z: f32, ax: f32, ay: f32, u: f32, v: f32): void {
  const sx = x * ax;
  const sy = y * ay;
  const s = <f32>1 / sqrt<f32>(sx * sx + sy * sy + z * z);
  const sz = z * s;
  circle(u);
  const h = (<f32>1 - v) * (<f32>1 + sz) - sz;
  const r = sqrt<f32>(max<f32>(<f32>1 - h * h, 0));
  const nx = (r * cosine + sx * s) * ax;
  const ny = (r * sine + sy * s) * ay;
  const nz = max<f32>(h + sz, 1e-9);
  const n = <f32>1 / sqrt<f32>(nx * nx + ny * ny + nz * nz);
  mx = nx * n;
  my = ny * n;
  mz = nz * n;
}

/** Smith's Λ of a direction with z > 0. */
export function lambda(x: f32, y: f32, z: f32, ax: f32, ay: f32): f32 {
  const a = x * ax;
  const b = y * ay;
  return (sqrt<f32>(<f32>1 + (a * a + b * b) / (z * z)) - <f32>1) * <f32>0.5;
}

/** Distribution of normals, per solid angle. */
export function distribution(x: f32, y: f32, z: f32, ax: f32, ay: f32): f32 {
  const a = x / ax;
  const b = y / ay;
  const q = a * a + b * b + z * z;
  return <f32>1 / (PI * ax * ay * q * q);
}

/** Directional albedo of the lobe with F = 1 for a view (x, y, mu), bilinear in (√cos θ, cos² φ). */
export function albedo(table: usize, x: f32, y: f32, mu: f32): f32 {
  const x2 = x * x;
  const r2 = x2 + y * y;
  const col = sqrt<f32>(min<f32>(mu, 1)) * <f32>(ALBEDO_MU - 1);
  const row = r2 > <f32>1e-12 ? min<f32>(x2 / r2, 1) * <f32>(ALBEDO_TURN - 1) : 0;
  const i = min<i32>(<i32>col, ALBEDO_MU - 2);
  const j = min<i32>(<i32>row, ALBEDO_TURN - 2);
  const fx = col - <f32>i;
  const fy = row - <f32>j;
  const at: usize = table + ((j * ALBEDO_MU + i) << 2);
  const a = load<f32>(at);
  const b = load<f32>(at, 4);
  const c = load<f32>(at, ALBEDO_MU * 4);
  const d = load<f32>(at, ALBEDO_MU * 4 + 4);
  const near = a + fx * (b - a);
  return near + fy * (c + fx * (d - c) - near);
}

/** Fresnel of one colourway times the multiple-scattering scale; `c5` = (1 − c)^5, `c6` = c (1 − c)^6, `k` = (1 − E)/E. */
export function reflectance(colour: usize, c5: v128, c6: v128, k: v128): v128 {
  const f0 = v128.load(colour);
  const one = f32x4.splat(1);
  const f = f32x4.sub(
    f32x4.add(f0, f32x4.mul(f32x4.sub(one, f0), c5)),
    f32x4.mul(v128.load(colour, 16), c6),
  );
  return f32x4.mul(f32x4.pmin(f32x4.pmax(f, f32x4.splat(0)), one), f32x4.add(one, f32x4.mul(f0, k)));
}
