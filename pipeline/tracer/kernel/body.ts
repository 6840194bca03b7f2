/**
 * A body of colour under a clear coat: white ceramic, enamel, resin, lacquered wood.
 *
 * The coat mirrors as a dielectric with the metal's lobe: F D G / (4 cos o cos i). What it does not mirror of the light from
 * a direction, 1 − E, enters the body, is scattered there, partly thrown back by the coat from within, and leaves evenly:
 * f = R (1 − E(i)) (1 − E(o)) / (π (1 − Ē)), Ē being the mean of E over even light (Kelemen & Szirmay-Kalos, "A Microfacet
 * Based Coupled Specular-Matte BRDF Model with Importance Sampling", Eurographics 2001). R is all that leaves the body of
 * what has entered: ρ (1 − Fi)/(1 − ρ Fi) for a body of reflectance ρ and a coat that mirrors Fi of even light from within
 * (Saunderson, JOSA 32, 1942), which is worked out where the colour is packed. With R = 1 all light comes back.
 */
import { BODY_SCALE, COAT_RATIO } from './layout';
import { albedo, distribution, lambda } from './metal';
import { fresnel } from './stone';

const PI_INVERSE: f32 = 0.318309886183791;
/**
 * Least share of paths that follow the coat: it returns a twentieth of the light, but of lamps. Whatever colour lies below
 * decides nothing, since colourways share paths.
 */
const COAT_CHANCE: f32 = 0.35;

/** results of `coatOf`: the chance of following the coat */
export let chance: f32 = 0;
let ratio: f32 = 0;
let table: usize = 0;
let ax: f32 = 0;
let ay: f32 = 0;
let wx: f32 = 0;
let wy: f32 = 0;
let wz: f32 = 0;
let lo: f32 = 0;
let scale: f32 = 0;

/** results of `weigh`, each times the cosine of the way out: what coat and body (R = 1) return, and the density of following it */
export let shine: f32 = 0;
export let matt: f32 = 0;
export let own: f32 = 0;

/** Readies the laws for a surface seen from w (local, z > 0). */
export function coatOf(surface: usize, x: f32, y: f32, z: f32): void {
  ratio = load<f32>(surface, COAT_RATIO);
  table = load<u32>(surface, 16);
  ax = load<f32>(surface);
  ay = load<f32>(surface, 4);
  wx = x;
  wy = y;
  wz = z;
  lo = lambda(x, y, z, ax, ay);
  const e = albedo(table, x, y, z);
  scale = load<f32>(surface, BODY_SCALE) * (<f32>1 - e);
  chance = COAT_CHANCE + (<f32>1 - COAT_CHANCE) * e;
}

/** What comes back towards w of light from i (local, z > 0); a mirror's shine is met by chance of reflection alone. */
export function weigh(x: f32, y: f32, z: f32, mirror: bool): void {
  matt = scale * (<f32>1 - albedo(table, x, y, z)) * z;
  own = (<f32>1 - chance) * z * PI_INVERSE;
  shine = 0;
  if (mirror) return;
  let hx = x + wx;
  let hy = y + wy;
  let hz = z + wz;
  const inv = <f32>1 / sqrt<f32>(hx * hx + hy * hy + hz * hz);
  hx *= inv;
  hy *= inv;
  hz *= inv;
  const d = distribution(hx, hy, hz, ax, ay) / (<f32>4 * wz);
  shine = (mirrored(hx * wx + hy * wy + hz * wz) * d) / (<f32>1 + lo + lambda(x, y, z, ax, ay));
  own += (chance * d) / (<f32>1 + lo);
}

/** Share of a mirror's light that comes on from i, whose half vector has this cosine. */
export function mirrorShare(cosine: f32, x: f32, y: f32, z: f32): f32 {
  return (mirrored(cosine) * (<f32>1 + lo)) / (<f32>1 + lo + lambda(x, y, z, ax, ay));
}

// @ts-ignore: decorator
@inline
function mirrored(cosine: f32): f32 {
  return fresnel(min<f32>(max<f32>(cosine, 0), 1), ratio);
}
