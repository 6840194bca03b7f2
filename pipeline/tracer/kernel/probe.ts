/** Windows for tests: the samplers and formulas the path uses, one at a time. */
import { coatOf, matt, mirrorShare, own, shine, weigh } from './body';
import { measureFour } from './irradiance';
import { albedo, distribution, lambda, mx, my, mz, sampleNormal } from './metal';
import {
  SKY_CHANCE,
  STONE_BYTES,
  STONE_PLANE_BLOCKS,
  STONE_PLANES_AT,
  STONES_AT,
  SUM,
  SURFACE_BYTES,
  SURFACES_AT,
} from './layout';
import { layerAt, woodAt } from './pattern';
import { draw, startPixel, startSample, stream, u0, u1 } from './sampling';
import { skyPdf } from './sky';
import { decay, fresnel, wave } from './stone';
import {
  emitted,
  lightIndex,
  lightPdf,
  lightT,
  nearestLight,
  sampleLight,
  toPdf,
  toX,
  toY,
  toZ,
} from './studio';
import { FAR, faceT, leaveStone } from './tree';

export { fresnel };

/** Directional albedo of surface `index` for a view (x, y, z). */
export function probeAlbedo(index: u32, x: f32, y: f32, z: f32): f32 {
  return albedo(load<u32>(load<u32>(SURFACES_AT) + index * SURFACE_BYTES + 16), x, y, z);
}

/**
 * What surface `index`, a body under a coat, returns of light from i towards w, times i's cosine: shine, matt (R = 1), density
 * of following it; then the share of a mirror's light whose half vector stands upright.
 */
export function probeBody(index: u32, x: f32, y: f32, z: f32, ix: f32, iy: f32, iz: f32, out: usize): void {
  coatOf(load<u32>(SURFACES_AT) + index * SURFACE_BYTES, x, y, z);
  weigh(ix, iy, iz, false);
  store<f32>(out, shine);
  store<f32>(out, matt, 4);
  store<f32>(out, own, 8);
  store<f32>(out, mirrorShare(z, x, y, z), 12);
}

/** Place in a stack of layers and tone of wood at (x, y, z) of the band, by the eight numbers at `numbers` (`pattern.ts`). */
export function probePattern(wood: i32, numbers: usize, x: f32, y: f32, z: f32): f32 {
  return wood !== 0 ? woodAt(numbers, x, y, z) : layerAt(numbers, x, y, z);
}

/** `count` pairs of the sampler's dimension pair `number` for samples 0…count−1 of pixel (0, 0). */
export function probePairs(seed: u32, number: i32, count: u32, out: usize): void {
  startPixel(0, 0, seed);
  for (let i: u32 = 0; i < count; i++) {
    startSample(i);
    for (let k = 0; k <= number; k++) draw();
    store<f32>(out, u0);
    store<f32>(out, u1, 4);
    out += 8;
  }
}

/** Reflected directions of the GGX lobe for a view (x, y, z), by plain random numbers: xyz and 0 0 0 below the horizon. */
export function probeLobe(x: f32, y: f32, z: f32, ax: f32, ay: f32, seed: u32, count: u32, out: usize): void {
  startPixel(0, 0, seed);
  startSample(0);
  for (let i: u32 = 0; i < count; i++) {
    const u = stream();
    sampleNormal(x, y, z, ax, ay, u, stream());
    const d = x * mx + y * my + z * mz;
    const above = <f32>2 * d * mz - z > 0;
    store<f32>(out, above ? <f32>2 * d * mx - x : 0);
    store<f32>(out, above ? <f32>2 * d * my - y : 0, 4);
    store<f32>(out, above ? <f32>2 * d * mz - z : 0, 8);
    out += 12;
  }
}

/** Density of the lobe's directions (ix, iy, iz), the one used in weighing light samples. */
export function probeLobePdf(x: f32, y: f32, z: f32, ax: f32, ay: f32, ix: f32, iy: f32, iz: f32): f32 {
  const hx = ix + x;
  const hy = iy + y;
  const hz = iz + z;
  const inv = <f32>1 / sqrt<f32>(hx * hx + hy * hy + hz * hz);
  return (
    distribution(hx * inv, hy * inv, hz * inv, ax, ay) / ((<f32>1 + lambda(x, y, z, ax, ay)) * <f32>4 * z)
  );
}

/** Lobe with F = 1 and no compensation: D G2 / (4 cos o cos i). */
export function probeLobeValue(x: f32, y: f32, z: f32, ax: f32, ay: f32, ix: f32, iy: f32, iz: f32): f32 {
  const hx = ix + x;
  const hy = iy + y;
  const hz = iz + z;
  const inv = <f32>1 / sqrt<f32>(hx * hx + hy * hy + hz * hz);
  const g = <f32>1 / (<f32>1 + lambda(x, y, z, ax, ay) + lambda(ix, iy, iz, ax, ay));
  return (distribution(hx * inv, hy * inv, hz * inv, ax, ay) * g) / (<f32>4 * z * iz);
}

/** Light samples from a point: direction, density by the sampler, density by `lightPdf`; density 0 where none was given. */
export function probeLights(px: f32, py: f32, pz: f32, seed: u32, count: u32, out: usize): void {
  startPixel(0, 0, seed);
  startSample(0);
  for (let i: u32 = 0; i < count; i++) {
    const first = stream();
    if (sampleLight(px, py, pz, first, stream())) {
      store<f32>(out, toX);
      store<f32>(out, toY, 4);
      store<f32>(out, toZ, 8);
      store<f32>(out, toPdf, 12);
      store<f32>(out, probeLightPdf(px, py, pz, toX, toY, toZ), 16);
    } else {
      store<f32>(out, 0, 12);
    }
    out += 20;
  }
}

/** Density of the light sampler in a direction, for the nearest rectangle there or a pictured sky; 0 where there is none. */
export function probeLightPdf(px: f32, py: f32, pz: f32, dx: f32, dy: f32, dz: f32): f32 {
  nearestLight(px, py, pz, dx, dy, dz, FAR);
  const skyChance = load<f32>(SKY_CHANCE);
  if (lightIndex < 0) return skyChance > 0 ? skyChance * skyPdf(dx, dy, dz) : 0;
  return lightPdf(lightIndex, px, py, pz, dx, dy, dz, lightT);
}

/** Radiance of light `index` at (a, b) of its [−1, 1]², red alone. */
export function probeEmitted(index: i32, a: f32, b: f32): f32 {
  return f32x4.extract_lane(emitted(index, a, b), 0);
}

/** Irradiance of the empty studio at (x, 0, z), rgb. */
export function probeIrradiance(x: f32, z: f32, out: usize): void {
  measureFour(f32x4.splat(x), z, SUM);
  v128.store(out, v128.load(SUM));
}

/** Wavelength weights at variate u: rgb and µm. */
export function probeWave(u: f32, out: usize): void {
  v128.store(out, wave(u));
}

/** exp(x), x ≤ 0. */
export function probeDecay(x: f32): f32 {
  return f32x4.extract_lane(decay(f32x4.splat(x)), 0);
}

/** `count` rays of 6 floats, in the frame of stone `index` and inside it: the sum of their ways out. */
export function probeLeave(index: u32, rays: usize, count: i32): f32 {
  const stone: usize = load<u32>(STONES_AT) + index * STONE_BYTES;
  const planes: usize = load<u32>(stone, STONE_PLANES_AT);
  const blocks = load<u32>(stone, STONE_PLANE_BLOCKS);
  let sum: f32 = 0;
  for (let i = 0; i < count; i++) {
    leaveStone(
      planes,
      blocks,
      load<f32>(rays),
      load<f32>(rays, 4),
      load<f32>(rays, 8),
      load<f32>(rays, 12),
      load<f32>(rays, 16),
      load<f32>(rays, 20),
    );
    sum += faceT;
    rays += 24;
  }
  return sum;
}
