/** What the host calls. All pointers are byte offsets into the imported memory; layout in layout.ts. */
import { clearSums, pixelSum } from './colours';
import { clearFeatures, Features, isMixed, look } from './features';
import {
  COLOURWAYS,
  FILM_AT,
  FILTER,
  FILTER_STEPS,
  HEIGHT,
  MATTE,
  RIM,
  WIDTH,
} from './layout';
import { clearMatte, pixelMatte } from './matte';
import { startAtLens, trace } from './path';
import { Path } from './path-state';
import { draw, startPixel, startSample, u0, u1 } from './sampling';
import { closest, FAR, hitPrimitive, hitT, occluded } from './tree';

export * from './probe';
export { measureGround, measurePlaces } from './irradiance';

function filterOffset(u: f32): f32 {
  const x = u * <f32>FILTER_STEPS;
  const i = <i32>x;
  const at: usize = <usize>i << 2;
  const a = load<f32>(at, FILTER);
  return a + (x - <f32>i) * (load<f32>(at, FILTER + 4) - a);
}

/**
 * What the ground keeps of its shading in a pixel: all within a rounded frame, nothing in the outermost pixels, by 3x² − 2x³
 * between. Frames are told by the fourth powers of their coordinates, ±1 at the edges.
 */
function rimAt(x: i32, y: i32): f32 {
  const perShare = load<f32>(RIM);
  if (!(perShare > 0)) return 1;
  const across = centred(x, load<u32>(WIDTH));
  const up = centred(y, load<u32>(HEIGHT));
  const out = sqrt<f32>(sqrt<f32>(across * across * across * across + up * up * up * up));
  const t = min<f32>(max<f32>((<f32>1 - out) * perShare, 0), 1);
  return t * t * (<f32>3 - <f32>2 * t);
}

/** −1 in the first of `count` pixels, 1 in the last. */
function centred(at: i32, count: u32): f32 {
  return count > 1 ? <f32>2 * <f32>at / <f32>(count - 1) - <f32>1 : 0;
}

/**
 * Sums of samples [from, to) of a rectangle into the film buffer: RGB rows, colourways one after another, then the matte.
 * `pixels` 1 or 2: of every second pixel alone, as the even or the odd fields of a chequerboard, and the others are zero.
 */
export function render(x: i32, y: i32, w: i32, h: i32, from: u32, to: u32, seed: u32, pixels: u32): i32 {
  const film: usize = load<u32>(FILM_AT);
  const colourways = load<u32>(COLOURWAYS);
  const matte = load<u32>(MATTE) !== 0;
  const width = <f32>load<u32>(WIDTH);
  const height = <f32>load<u32>(HEIGHT);
  const stride: usize = <usize>(w * h) * 12;
  let out = film;
  let traced = 0;
  for (let j = 0; j < h; j++) {
    for (let i = 0; i < w; i++) {
      clearSums();
      clearMatte();
      startPixel(x + i, y + j, seed);
      Path.rim = rimAt(x + i, y + j);
      const end = pixels === 0 || <u32>(x + i + y + j) % 2 === pixels - 1 ? to : from;
      traced += <i32>(end - from);
      for (let s = from; s < end; s++) {
        startSample(s);
        draw();
        trace(<f32>(x + i), <f32>(y + j), filterOffset(u0), filterOffset(u1), width, height);
      }
      let at = out;
      for (let c: u32 = 0; c < colourways; c++) {
        const sum = pixelSum(c);
        store<f32>(at, f32x4.extract_lane(sum, 0));
        store<f32>(at, f32x4.extract_lane(sum, 1), 4);
        store<f32>(at, f32x4.extract_lane(sum, 2), 8);
        at += stride;
      }
      if (matte) {
        const m = pixelMatte(<f32>(to - from));
        store<f32>(at, f32x4.extract_lane(m, 0));
        store<f32>(at, f32x4.extract_lane(m, 1), 4);
        store<f32>(at, 0, 8);
      }
      out += 12;
    }
  }
  return traced;
}

/**
 * Features of a rectangle's pixels into the film buffer, FEATURES floats each: means over a film's first samples, so many
 * of them, and more where a pixel shows more than one thing.
 */
export function features(x: i32, y: i32, w: i32, h: i32, seed: u32, samples: u32, ofMixed: u32): void {
  const width = <f32>load<u32>(WIDTH);
  const height = <f32>load<u32>(HEIGHT);
  let out: usize = load<u32>(FILM_AT);
  for (let j = 0; j < h; j++) {
    for (let i = 0; i < w; i++) {
      clearFeatures();
      startPixel(x + i, y + j, seed);
      let s: u32 = 0;
      for (let end = samples; s < end; s++) {
        startSample(s);
        draw();
        startAtLens(<f32>(x + i), <f32>(y + j), filterOffset(u0), filterOffset(u1), width, height);
        look();
        if (s + 1 === samples && isMixed(<f32>samples)) end = ofMixed;
      }
      const share = <f32>1 / <f32>s;
      store<f32>(out, Features.metal * share);
      store<f32>(out, Features.ground * share, 4);
      store<f32>(out, Features.stone * share, 8);
      store<f32>(out, Features.nx * share, 12);
      store<f32>(out, Features.ny * share, 16);
      store<f32>(out, Features.nz * share, 20);
      store<f32>(out, Features.light * share, 24);
      store<f32>(out, Features.mirroredGround * share, 28);
      store<f32>(out, Features.mirroredMetal * share, 32);
      store<f32>(out, Features.mirroredStone * share, 36);
      store<f32>(out, Features.surface * share, 40);
      store<f32>(out, Features.from * share, 44);
      out += 48;
    }
  }
}

/** `count` rays of 6 floats; writes distance (+inf for nothing) and primitive. */
export function closestBatch(rays: usize, count: i32, t: usize, primitive: usize): void {
  for (let i = 0; i < count; i++) {
    closest(
      load<f32>(rays),
      load<f32>(rays, 4),
      load<f32>(rays, 8),
      load<f32>(rays, 12),
      load<f32>(rays, 16),
      load<f32>(rays, 20),
      FAR,
    );
    store<f32>(t, hitT);
    store<u32>(primitive, hitPrimitive);
    rays += 24;
    t += 4;
    primitive += 4;
  }
}

/** As above; writes one byte a ray. */
export function occludedBatch(rays: usize, count: i32, hit: usize): void {
  for (let i = 0; i < count; i++) {
    const found = occluded(
      load<f32>(rays),
      load<f32>(rays, 4),
      load<f32>(rays, 8),
      load<f32>(rays, 12),
      load<f32>(rays, 16),
      load<f32>(rays, 20),
      FAR,
    );
    store<u8>(hit, found ? 1 : 0);
    rays += 24;
    hit += 1;
  }
}
