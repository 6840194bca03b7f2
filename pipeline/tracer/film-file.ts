/**
 * Finished films on disk: half floats, deflated.
 *
 * Half floats keep 11 significant bits (0.05 %), under a tenth of an 8-bit sRGB step, and
 * ground at level 1 exactly. They are for developing again (a new watermark, another size) and not for resuming
 * a trace: a checkpoint needs the sums themselves.
 *
 * Layout: magic `BWFILM01`, width and height as 32-bit little-endian, then a zlib stream of the high bytes of
 * all halves followed by the low bytes, plane by plane (R, G, B), each byte stored as the difference from its
 * left neighbour: exponents hardly change from pixel to pixel and nearly vanish.
 */
import { deflateSync, inflateSync } from 'node:zlib';
import { fromHalf, toHalf } from './half-float.ts';
import type { Film } from './tracer.ts';

const MAGIC = 'BWFILM01';

export function encodeFilm(film: Film): Uint8Array {
  const count = film.width * film.height;
  if (film.data.length !== count * 3) {
    throw new RangeError(`expected ${count * 3} film values but received ${film.data.length}`);
  }
  const planes = new Uint8Array(count * 6);
  for (let c = 0, at = 0; c < 3; c++) {
    let high = 0;
    let low = 0;
    for (let i = 0; i < count; i++, at++) {
      const half = toHalf(film.data[3 * i + c]);
      planes[at] = (half >>> 8) - high;
      planes[at + count * 3] = (half & 255) - low;
      high = half >>> 8;
      low = half & 255;
    }
  }
  const header = Buffer.alloc(16);
  header.write(MAGIC, 'latin1');
  header.writeUInt32LE(film.width, 8);
  header.writeUInt32LE(film.height, 12);
  return Buffer.concat([header, deflateSync(planes, { level: 3 })]);
}

/** @throws RangeError if the bytes are not a film file */
export function decodeFilm(bytes: Uint8Array): Film {
  const buffer = Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  if (buffer.length < 16 || buffer.toString('latin1', 0, 8) !== MAGIC) {
    throw new RangeError(`expected a film file but received ${buffer.length} other bytes`);
  }
  const width = buffer.readUInt32LE(8);
  const height = buffer.readUInt32LE(12);
  const count = width * height;
  const planes = inflateSync(buffer.subarray(16), { maxOutputLength: count * 6 });
  const data = new Float32Array(count * 3);
  for (let c = 0, at = 0; c < 3; c++) {
    let high = 0;
    let low = 0;
    for (let i = 0; i < count; i++, at++) {
      high = (high + planes[at]) & 255;
      low = (low + planes[at + count * 3]) & 255;
      data[3 * i + c] = fromHalf((high << 8) | low);
    }
  }
  return { width, height, data };
}

/** Film files as one: the length of each as 32-bit little-endian before it. */
export function packFilms(files: readonly Uint8Array[]): Uint8Array {
  return Buffer.concat(
    files.flatMap((file) => {
      const length = Buffer.alloc(4);
      length.writeUInt32LE(file.length);
      return [length, file];
    }),
  );
}

/** @throws RangeError if the bytes are not film files one after another */
export function unpackFilms(bytes: Uint8Array): Film[] {
  const buffer = Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const films: Film[] = [];
  for (let at = 0; at < buffer.length; ) {
    const end = at + 4 <= buffer.length ? at + 4 + buffer.readUInt32LE(at) : Number.POSITIVE_INFINITY;
    if (end > buffer.length)
      throw new RangeError('expected film files one after another but the last is cut off');
    films.push(decodeFilm(buffer.subarray(at + 4, end)));
    at = end;
  }
  return films;
}
