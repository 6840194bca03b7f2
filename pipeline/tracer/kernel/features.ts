/**
 * What a pixel shows, without light: the features by which the film filter tells what belongs together. Camera rays as the
 * pixel's first samples take them, to the first surface, and from polished metal and glossy ground on along the mirror.
 * Each feature is a mean over samples and counts as nothing where it does not apply, so that a mixed pixel's features are
 * its parts' by their shares.
 */
import {
  COAT_RATIO,
  GROUND_GLOSS,
  GROUND_KIND,
  GROUND_NONE,
  PATTERN,
  RELIEF,
  SURFACE_BYTES,
  SURFACES_AT,
  TRIANGLE_SURFACE_AT,
  TRIANGLES,
} from './layout';
import { clearance, Path, setRay } from './path-state';
import { patterned, tone } from './pattern';
import { relief, slopeAcross, slopeAlong } from './relief';
import { bendNormal, frameAlong, interpolateNormal, liftMirror, normalX, normalY, normalZ } from './shading-frame';
import { sky } from './sky';
import { emitted, lightA, lightB, lightFront, lightIndex, lightT, nearestLight } from './studio';
import { closest, FAR, hitAt, hitPrimitive, hitU, hitV, NOTHING } from './tree';

const MIRRORS: i32 = 4;
/** lamps outshine white many times; beyond this they look alike */
const BRIGHT: f32 = 4;

/** sums over the samples of a pixel */
export class Features {
  /** shares of metal, of ground with what lies beyond it, and of stones */
  static metal: f32 = 0;
  static ground: f32 = 0;
  static stone: f32 = 0;
  /** of metal, with its relief */
  static nx: f32 = 0;
  static ny: f32 = 0;
  static nz: f32 = 0;
  /** of mirrors: luminance of the light they show, and shares that show ground, metal (before all else) and stones */
  static light: f32 = 0;
  static mirroredGround: f32 = 0;
  static mirroredMetal: f32 = 0;
  static mirroredStone: f32 = 0;
  /** a number of each surface's own, 0…1 */
  static surface: f32 = 0;
  /** of mirrors: height of the direction in which the light comes */
  static from: f32 = 0;
}

export function clearFeatures(): void {
  Features.metal = 0;
  Features.ground = 0;
  Features.stone = 0;
  Features.nx = 0;
  Features.ny = 0;
  Features.nz = 0;
  Features.light = 0;
  Features.mirroredGround = 0;
  Features.mirroredMetal = 0;
  Features.mirroredStone = 0;
  Features.surface = 0;
  Features.from = 0;
}

/** whether the pixel shows more than one of metal, ground and stones after so many samples */
export function isMixed(samples: f32): bool {
  return Features.metal < samples && Features.ground < samples && Features.stone < samples;
}

/** Follows the ray that `startAtLens` has set and adds what it meets. */
export function look(): void {
  const triangles = load<u32>(TRIANGLES);
  const kind = load<u32>(GROUND_KIND);
  for (let bounce = 0; bounce <= MIRRORS; bounce++) {
    let tmax = FAR;
    if (bounce > 0) {
      nearestLight(Path.ox, Path.oy, Path.oz, Path.dx, Path.dy, Path.dz, FAR);
      tmax = lightT;
    }
    let ground = false;
    if (kind !== GROUND_NONE && Path.dy < 0 && Path.oy > 0) {
      const t = -Path.oy / Path.dy;
      if (t < tmax) {
        tmax = t;
        ground = true;
      }
    }
    closest(Path.ox, Path.oy, Path.oz, Path.dx, Path.dy, Path.dz, tmax);
    if (hitPrimitive === NOTHING) {
      if (bounce === 0) Features.ground += 1;
      else if (ground) Features.mirroredGround += 1;
      else mirrorLight();
      if (bounce > 0) Features.from += Path.dy;
      if (bounce > 0 || !ground || kind !== GROUND_GLOSS) return;
      const x = Path.ox + Path.dx * tmax;
      const z = Path.oz + Path.dz * tmax;
      setRay(x, clearance(x, 0, z), z, Path.dx, -Path.dy, Path.dz);
    } else if (hitPrimitive < triangles) {
      if (!lookAtMetal(bounce === 0)) return;
    } else {
      if (bounce === 0) Features.stone += 1;
      else Features.mirroredStone += 1;
      return;
    }
  }
}

function mirrorLight(): void {
  if (lightIndex >= 0 && !lightFront) return;
  const l = lightIndex < 0 ? sky(Path.dx, Path.dy, Path.dz) : emitted(lightIndex, lightA, lightB);
  const y =
    f32x4.extract_lane(l, 0) * <f32>0.2126 + f32x4.extract_lane(l, 1) * <f32>0.7152 + f32x4.extract_lane(l, 2) * <f32>0.0722;
  Features.light += min<f32>(y, BRIGHT);
}

/** Adds what is seen of the metal just hit; true where it mirrors, with the ray set to go on. */
function lookAtMetal(first: bool): bool {
  const at: usize = hitAt;
  const e1x = load<f32>(at, 48);
  const e1y = load<f32>(at, 64);
  const e1z = load<f32>(at, 80);
  const e2x = load<f32>(at, 96);
  const e2y = load<f32>(at, 112);
  const e2z = load<f32>(at, 128);
  let gx = e1y * e2z - e1z * e2y;
  let gy = e1z * e2x - e1x * e2z;
  let gz = e1x * e2y - e1y * e2x;
  const inv = <f32>1 / sqrt<f32>(gx * gx + gy * gy + gz * gz);
  gx *= inv;
  gy *= inv;
  gz *= inv;
  const dx = Path.dx;
  const dy = Path.dy;
  const dz = Path.dz;
  const wg = -(gx * dx + gy * dy + gz * dz);
  const px = load<f32>(at) + hitU * e1x + hitV * e2x;
  const py = load<f32>(at, 16) + hitU * e1y + hitV * e2y;
  const pz = load<f32>(at, 32) + hitU * e1z + hitV * e2z;
  const surfaces: usize = load<u32>(SURFACES_AT);
  let surface: usize = surfaces + <u32>load<u16>(load<u32>(TRIANGLE_SURFACE_AT) + (hitPrimitive << 1)) * SURFACE_BYTES;
  let shade: f32 = 0;
  if (load<f32>(surface, PATTERN) > 0) {
    surface = patterned(surface, px, py, pz);
    shade = tone;
  }
  if (first) {
    Features.metal += 1;
    // the golden ratio's multiples lie far apart from one another
    const number = <f32>((surface - surfaces) / SURFACE_BYTES + 1) * <f32>0.6180339887;
    const own = number - floor<f32>(number);
    // tones of one surface differ as surfaces do, towards the farther end
    Features.surface += own + shade * (own < 0.5 ? <f32>0.5 : <f32>-0.5);
  } else Features.mirroredMetal += 1;
  if (!(wg > 0)) return false;
  interpolateNormal(hitPrimitive, hitU, hitV, gx, gy, gz);
  if (load<f32>(surface, RELIEF) > 0) {
    relief(surface, px, py, pz);
    frameAlong(normalX, normalY, normalZ, load<f32>(surface, 20), load<f32>(surface, 24), load<f32>(surface, 28));
    bendNormal(slopeAlong, slopeAcross);
  }
  liftMirror(dx, dy, dz, gx, gy, gz, wg);
  const nx = normalX;
  const ny = normalY;
  const nz = normalZ;
  if (first) {
    Features.nx += nx;
    Features.ny += ny;
    Features.nz += nz;
  }
  // what lies under a coat is seen beside what that mirrors
  if (load<u32>(surface, 12) === 0 || load<f32>(surface, COAT_RATIO) > 0) return false;
  const wn = <f32>2 * (dx * nx + dy * ny + dz * nz);
  const eps = clearance(px, py, pz);
  setRay(px + gx * eps, py + gy * eps, pz + gz * eps, dx - wn * nx, dy - wn * ny, dz - wn * nz);
  return true;
}
