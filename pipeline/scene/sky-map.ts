import { FloatType } from 'three';
import { EXRLoader } from 'three/examples/jsm/loaders/EXRLoader.js';
import { HDRLoader } from 'three/examples/jsm/loaders/HDRLoader.js';

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
 * @throws RangeError if they cannot be decoded or are not twice as wide as high
 */
export function decodeSky(bytes: Uint8Array): SkyMap {
  const { width, height, data, topFirst } = decode(bytes);
  if (!(width >= 2 && height >= 2 && Math.abs(width / height - 2) < 0.02))
    throw new RangeError(`expected a picture twice as wide as high but received ${width} × ${height}`);
  const channels = data.length / (width * height);
  const out = {
    width: Math.min(width, WIDEST),
    height: Math.min(height, HIGHEST),
  };
  const texels = new Float32Array(out.width * out.height * 3);
  for (let y = 0; y < out.height; y++) {
    const rows = parts(y, out.height, height);
    for (let x = 0; x < out.width; x++) {
      const o = 3 * (y * out.width + x);
      for (const [column, across] of parts(x, out.width, width))
        for (const [line, down] of rows) {
          const row = topFirst ? line : height - 1 - line;
          const i = (row * width + column) * channels;
          // one channel is grey
          for (let k = 0; k < 3; k++) texels[o + k] += across * down * light(data[channels < 3 ? i : i + k]);
        }
    }
  }
  return { ...out, texels };
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

/** More is refused before anything is decoded: a header of a few bytes can claim any size, and decoders believe it. */
const MOST_WIDE = 8192;
const MOST_HIGH = 4096;

/**
 * Width and height that a header claims, without decoding.
 * - Radiance: the resolution line after the first empty one (G. Ward, "Real Pixels", Graphics Gems II, 1991).
 * - OpenEXR: the data window among attributes of name, type, size and value, up to an empty name ("OpenEXR File
 *   Layout", openexr.com). three's loader (0.187) searches on for ever in a header that was cut off.
 * @throws Error if the header says nothing of the kind
 */
function claimedSize(bytes: Uint8Array): [number, number] {
  if (bytes[0] === 0x23) {
    const text = Buffer.from(bytes.buffer, bytes.byteOffset, Math.min(bytes.length, 8192)).toString('latin1');
    const found = /\n[-+]([XY]) (\d+) [-+]([XY]) (\d+)\n/.exec(text);
    if (!found || found[1] === found[3]) throw new Error('its header tells no size');
    const [first, second] = [Number(found[2]), Number(found[4])];
    return found[1] === 'Y' ? [second, first] : [first, second];
  }
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  let size: [number, number] | undefined;
  for (let p = 8; ; ) {
    const name = bytes.indexOf(0, p);
    if (name < 0) throw new Error('its header is cut off');
    if (name === p) break;
    const type = bytes.indexOf(0, name + 1);
    if (type < 0 || type + 5 > bytes.length) throw new Error('its header is cut off');
    const length = view.getInt32(type + 1, true);
    const value = type + 5;
    if (length < 0 || value + length > bytes.length) throw new Error('its header is cut off');
    if (Buffer.from(bytes.subarray(p, name)).toString('latin1') === 'dataWindow' && length === 16) {
      const [left, top, right, bottom] = [0, 4, 8, 12].map((o) => view.getInt32(value + o, true));
      size = [right - left + 1, bottom - top + 1];
    }
    p = value + length;
  }
  if (!size) throw new Error('its header tells no size');
  return size;
}

function decode(bytes: Uint8Array): { width: number; height: number; data: Float32Array; topFirst: boolean } {
  // a copy of its own: a Buffer's memory may be part of a pool, and its slice() copies nothing
  const copy = new Uint8Array(bytes).buffer;
  const radiance = bytes[0] === 0x23;
  try {
    const [wide, high] = claimedSize(bytes);
    if (!(wide >= 2 && wide <= MOST_WIDE && high >= 1 && high <= MOST_HIGH))
      throw new Error(`it is ${wide} × ${high}, bring it to ${MOST_WIDE} × ${MOST_HIGH} or less`);
    const loader = radiance ? new HDRLoader() : new EXRLoader();
    const { width, height, data } = loader.setDataType(FloatType).parse(copy);
    // three's OpenEXR rows run from the bottom up
    return { width: width ?? 0, height: height ?? 0, data: data as Float32Array, topFirst: radiance };
  } catch (error) {
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
