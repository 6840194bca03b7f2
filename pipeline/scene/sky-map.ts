import { FloatType } from 'three';
import { EXRLoader } from 'three/examples/jsm/loaders/EXRLoader.js';
import { HDRLoader } from 'three/examples/jsm/loaders/HDRLoader.js';
import { checkWhole, claimedSize, isRadiance } from './sky-header.ts';

/** A decoded picture of all directions: RGB each, straight up first, the middle of a row towards −z. */
export interface SkyMap {
  width: number;
  height: number;
  texels: Float32Array;
}

/** A reflection in a band needs no more than a third of a degree; the tracer holds the texels in every worker. */
const WIDEST = 1024;
const HIGHEST = 512;
/** No light is left out for being brighter than half floats hold, but it counts as that. */
const BRIGHTEST = 65504;

/**
 * Decodes Radiance or OpenEXR bytes (with three's loaders) and brings them to at most 1024 × 512 by area means, so
 * that a small sun keeps its light.
 * @throws RangeError if they cannot be decoded, are cut off, are not twice as wide as high or throw no light on level ground
 */
export function decodeSky(bytes: Uint8Array): SkyMap {
  const { width, height, data, topFirst } = decode(bytes);
  checkTwiceAsWide(width, height);
  const channels = data.length / (width * height);
  const out = {
    width: Math.min(width, WIDEST),
    height: Math.min(height, HIGHEST),
  };
  const texels = new Float32Array(out.width * out.height * 3);
  const columns = Array.from({ length: out.width }, (_, x) => parts(x, out.width, width));
  for (let y = 0; y < out.height; y++) {
    const rows = parts(y, out.height, height);
    for (let x = 0; x < out.width; x++) {
      const o = 3 * (y * out.width + x);
      for (const [column, across] of columns[x])
        for (const [line, down] of rows) {
          const row = topFirst ? line : height - 1 - line;
          const i = (row * width + column) * channels;
          // one channel is grey
          for (let k = 0; k < 3; k++) texels[o + k] += across * down * light(data[channels < 3 ? i : i + k]);
        }
    }
  }
  const map = { ...out, texels };
  if (!(skyIrradiance(map) > 0)) throw new RangeError('expected light in its upper half but received none');
  return map;
}

function checkTwiceAsWide(width: number, height: number): void {
  if (!(width >= 2 && height >= 2 && Math.abs(width / height - 2) < 0.02))
    throw new RangeError(`expected a picture twice as wide as high but received ${width} × ${height}`);
}

function light(v: number): number {
  return v > 0 ? Math.min(v, BRIGHTEST) : 0;
}

/** Source cells under target cell `i` and the share of it that each covers. */
function parts(i: number, to: number, from: number): [number, number][] {
  const a = (i * from) / to;
  const b = ((i + 1) * from) / to;
  const out: [number, number][] = [];
  for (let k = Math.floor(a); k < Math.min(from, Math.ceil(b - 1e-9)); k++)
    out.push([k, (Math.min(b, k + 1) - Math.max(a, k)) / (b - a)]);
  return out;
}

/** More is refused before anything is decoded. */
const MOST_WIDE = 8192;
const MOST_HIGH = 4096;

function decode(bytes: Uint8Array): { width: number; height: number; data: Float32Array; topFirst: boolean } {
  // a copy of its own: a Buffer's memory may be part of a pool, and its slice() copies nothing
  const copy = new Uint8Array(bytes).buffer;
  const radiance = isRadiance(bytes);
  try {
    const [wide, high] = claimedSize(bytes);
    if (!(wide >= 2 && wide <= MOST_WIDE && high >= 1 && high <= MOST_HIGH))
      throw new Error(`it is ${wide} × ${high}, bring it to ${MOST_WIDE} × ${MOST_HIGH} or less`);
    checkTwiceAsWide(wide, high);
    checkWhole(bytes);
    const loader = radiance ? new HDRLoader() : new EXRLoader();
    const { width, height, data } = loader.setDataType(FloatType).parse(copy);
    // three's OpenEXR rows run from the bottom up
    return { width: width ?? 0, height: height ?? 0, data: data as Float32Array, topFirst: radiance };
  } catch (error) {
    if (error instanceof RangeError && error.message.startsWith('expected')) throw error;
    const why = error instanceof Error ? error.message : String(error);
    throw new RangeError(
      `expected a ${radiance ? 'Radiance' : 'OpenEXR'} picture but it could not be decoded: ${why}`,
    );
  }
}

/** Luminous irradiance of level ground under the picture: ∫ L cos θ dω over its upper half. */
export function skyIrradiance({ width, height, texels }: SkyMap): number {
  let sum = 0;
  for (let y = 0; y < height; y++) {
    const top = Math.min((Math.PI * y) / height, Math.PI / 2);
    const bottom = Math.min((Math.PI * (y + 1)) / height, Math.PI / 2);
    const band = (Math.sin(bottom) ** 2 - Math.sin(top) ** 2) / 2;
    for (let i = 3 * y * width; i < 3 * (y + 1) * width; i += 3)
      sum += band * (0.2126 * texels[i] + 0.7152 * texels[i + 1] + 0.0722 * texels[i + 2]);
  }
  return (sum * 2 * Math.PI) / width;
}
