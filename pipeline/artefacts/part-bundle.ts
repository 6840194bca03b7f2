import type { CastPart } from '../model/cast-part.ts';
import { sha256 } from '../store/content-key.ts';

/** What is remembered of a part beside its files. */
export interface PartFacts {
  volumeMm3: number;
  triangles: number;
  pieces: number;
  files: { format: 'stl' | '3mf'; bytes: number; sha256: string }[];
}

/** A part as one artefact: a 4-byte little-endian length, that many bytes of JSON, then the files. */
export function encodePart({ stl, threeMf, volumeMm3, triangles, pieces }: CastPart): Uint8Array {
  const entry = (format: 'stl' | '3mf', data: Uint8Array) => ({
    format,
    bytes: data.length,
    sha256: sha256(data),
  });
  const facts: PartFacts = {
    volumeMm3,
    triangles,
    pieces,
    files: [entry('stl', stl), entry('3mf', threeMf)],
  };
  const header = Buffer.from(JSON.stringify(facts));
  const length = Buffer.alloc(4);
  length.writeUInt32LE(header.length);
  return Buffer.concat([length, header, stl, threeMf]);
}

export function decodePart(bytes: Uint8Array): { facts: PartFacts; data: Uint8Array[] } {
  const buffer = Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  let at = 4 + buffer.readUInt32LE(0);
  const facts = JSON.parse(buffer.toString('utf8', 4, at)) as PartFacts;
  const data = facts.files.map((file) => {
    const read = buffer.subarray(at, at + file.bytes);
    at += file.bytes;
    return read;
  });
  return { facts, data };
}
