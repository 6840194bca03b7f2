import type { EncodedImage } from '../picture/encode.ts';

/**
 * All files of one picture as one artefact: a 4-byte little-endian length, that many bytes of JSON (the files
 * without their data), then the files' bytes one after another.
 */
export type BundledPicture = Omit<EncodedImage, 'data'>;

export function encodeBundle(images: readonly EncodedImage[]): Uint8Array {
  const header = Buffer.from(JSON.stringify(images.map(({ data: _, ...entry }) => entry)));
  const length = Buffer.alloc(4);
  length.writeUInt32LE(header.length);
  return Buffer.concat([length, header, ...images.map((i) => i.data)]);
}

/** @throws RangeError if the bytes are no bundle */
export function decodeBundle(bytes: Uint8Array): EncodedImage[] {
  const buffer = Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const headerEnd = buffer.length >= 4 ? 4 + buffer.readUInt32LE(0) : Number.POSITIVE_INFINITY;
  if (headerEnd > buffer.length)
    throw new RangeError(`expected a picture bundle but received ${buffer.length} bytes`);
  const entries = JSON.parse(buffer.toString('utf8', 4, headerEnd)) as BundledPicture[];
  let at = headerEnd;
  return entries.map((entry) => {
    const data = buffer.subarray(at, at + entry.bytes);
    at += entry.bytes;
    return { ...entry, data };
  });
}
