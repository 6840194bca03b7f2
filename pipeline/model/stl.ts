/**
 * Binary STL: an 80-byte header, a 32-bit count, then 50 bytes a triangle (normal, three corners as 32-bit floats,
 * two bytes unused), little-endian. The format has no unit: its header is the place to say it.
 */
import type { PartMesh } from './part-mesh.ts';

const HEADER = 80;
const RECORD = 50;

/**
 * @param header ASCII words, cut at its end; anything else is dropped. One that begins with "solid" would be taken for a
 *   text file by some readers
 */
export function writeStl({ positions, indices }: PartMesh, header: string): Uint8Array {
  const count = indices.length / 3;
  const bytes = Buffer.alloc(HEADER + 4 + RECORD * count);
  bytes.write(header.replace(/[^\x20-\x7e]/g, '').slice(0, HEADER), 'latin1');
  bytes.writeUInt32LE(count, HEADER);
  for (let t = 0; t < count; t++) {
    const corners = [0, 1, 2].map((k) => {
      const v = 3 * indices[3 * t + k];
      return [positions[v], positions[v + 1], positions[v + 2]];
    });
    const floats = [...facetNormal(corners), ...corners.flat()];
    for (const [i, x] of floats.entries()) bytes.writeFloatLE(x, HEADER + 4 + RECORD * t + 4 * i);
  }
  return bytes;
}

function facetNormal([a, b, c]: number[][]): number[] {
  const u = b.map((x, k) => x - a[k]);
  const v = c.map((x, k) => x - a[k]);
  const n = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]];
  const size = Math.hypot(...n) || 1;
  return n.map((x) => x / size);
}

/**
 * Enclosed volume of a binary STL as written, mm³, by the divergence theorem.
 * @throws RangeError if the length is not that of its triangle count
 */
export function stlVolume(data: Uint8Array): number {
  const bytes = Buffer.from(data.buffer, data.byteOffset, data.byteLength);
  const count = bytes.length > HEADER + 4 ? bytes.readUInt32LE(HEADER) : 0;
  if (count === 0 || bytes.length !== HEADER + 4 + RECORD * count)
    throw new RangeError(`expected ${count} triangles but received ${bytes.length} bytes`);
  let six = 0;
  for (let t = 0; t < count; t++) {
    const at = (i: number) => bytes.readFloatLE(HEADER + 16 + RECORD * t + 4 * i);
    six +=
      at(0) * (at(4) * at(8) - at(5) * at(7)) +
      at(1) * (at(5) * at(6) - at(3) * at(8)) +
      at(2) * (at(3) * at(7) - at(4) * at(6));
  }
  return six / 6;
}
