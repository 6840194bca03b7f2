/**
 * A TraceScene as one block of bytes, so that it crosses to the browser in one request and is shared by all
 * workers without copies.
 *
 * Layout, little-endian: u32 magic, u32 header length, header (UTF-8 JSON), then the typed arrays, each
 * starting on a 16-byte boundary. In the header a typed array stands as {"$": [type, byte offset, length]}.
 */
import type { TraceScene } from '../scene/trace-scene.ts';

const MAGIC = 0x31535742; // "BWS1"
const ALIGN = 16;

const ARRAYS = { Float32Array, Float64Array, Uint32Array, Int32Array, Uint16Array, Uint8Array };
type ArrayName = keyof typeof ARRAYS;
type SceneArray = InstanceType<(typeof ARRAYS)[ArrayName]>;

const align = (n: number) => Math.ceil(n / ALIGN) * ALIGN;

/** Throws a TypeError that names the field for anything JSON would silently change (NaN, Infinity, undefined). */
export function encodeScene(scene: TraceScene): Uint8Array {
  return encodeBlob(scene, 'scene');
}

/** The same for any plain data with typed arrays in it; `name` stands for it in errors. */
export function encodeBlob(data: object, name: string): Uint8Array {
  const arrays: { array: SceneArray; offset: number }[] = [];
  let end = 0;
  const place = (value: unknown, path: string): unknown => {
    if (ArrayBuffer.isView(value)) {
      const name = value.constructor.name as ArrayName;
      if (!(name in ARRAYS)) throw new TypeError(`${path}: no place for a ${name} in a scene blob`);
      const array = value as SceneArray;
      const offset = end;
      end = align(end + array.byteLength);
      arrays.push({ array, offset });
      return { $: [name, offset, array.length] };
    }
    if (Array.isArray(value)) return value.map((v, i) => place(v, `${path}[${i}]`));
    if (typeof value === 'object' && value !== null) {
      return Object.fromEntries(Object.entries(value).map(([k, v]) => [k, place(v, `${path}.${k}`)]));
    }
    if (typeof value === 'number' && !Number.isFinite(value)) {
      throw new TypeError(`${path}: expected a finite number but received ${value}`);
    }
    if (typeof value !== 'number' && typeof value !== 'string' && typeof value !== 'boolean') {
      throw new TypeError(`${path}: expected a number, text or array but received ${String(value)}`);
    }
    return value;
  };
  const header = new TextEncoder().encode(JSON.stringify(place(data, name)));
  const start = align(8 + header.length);
  const blob = new Uint8Array(start + end);
  const view = new DataView(blob.buffer);
  view.setUint32(0, MAGIC, true);
  view.setUint32(4, header.length, true);
  blob.set(header, 8);
  for (const { array, offset } of arrays) {
    blob.set(new Uint8Array(array.buffer, array.byteOffset, array.byteLength), start + offset);
  }
  return blob;
}

/** The typed arrays of the result are views on `buffer`, which may be shared; nothing is copied. */
export function decodeScene(buffer: ArrayBufferLike): TraceScene {
  return decodeBlob<TraceScene>(buffer);
}

/** What `encodeBlob` was given; whoever asks says what that was. */
export function decodeBlob<T>(buffer: ArrayBufferLike): T {
  const view = new DataView(buffer);
  if (buffer.byteLength < 8 || view.getUint32(0, true) !== MAGIC) throw new TypeError('not a scene blob');
  const length = view.getUint32(4, true);
  const start = align(8 + length);
  // TextDecoder refuses shared memory, so the header alone is copied.
  const header = new TextDecoder().decode(new Uint8Array(buffer, 8, length).slice());
  return JSON.parse(header, (_key, value) => {
    if (!value?.$) return value;
    const [name, offset, count] = value.$ as [ArrayName, number, number];
    return new ARRAYS[name](buffer as ArrayBuffer, start + offset, count);
  });
}
