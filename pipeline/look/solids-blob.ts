import type { BuiltShape } from '../band/built-shape.ts';
import type { Solids } from '../setting/build-solids.ts';
import { decodeBlob, encodeBlob } from '../tracer/scene-blob.ts';

/** A shape as pages get it. */
export function encodeSolids({ rows, ...solids }: Solids): Uint8Array {
  // the gap of a single stone is infinite, which JSON has no word for, and no scene asks for it
  return encodeBlob({ ...defined(solids), rows: rows.map((row) => defined({ ...row, gapMm: 0 })) }, 'solids');
}

/** Nothing is copied: typed arrays are views on `buffer`. What scenes don't ask for is left empty. */
export function decodeSolids(buffer: ArrayBufferLike): BuiltShape {
  return { ...decodeBlob<Solids>(buffer), fits: [], checks: [] };
}

/** Without fields that hold nothing, deep in plain objects too. */
function defined<T extends object>(of: T): T {
  return Object.fromEntries(
    Object.entries(of)
      .filter(([, value]) => value !== undefined)
      .map(([key, value]) => [key, isPlain(value) ? defined(value) : value]),
  ) as T;
}

function isPlain(value: unknown): value is object {
  return typeof value === 'object' && value !== null && Object.getPrototypeOf(value) === Object.prototype;
}
