/**
 * What the bytes of a pictured sky say of it before anything is decoded. Decoders believe a header of a few bytes that
 * claims any size, and take pixels that were cut off for black ones or for a picture that is less high.
 */

/**
 * Width and height that a header claims.
 * - Radiance: the resolution line after the first empty one (G. Ward, "Real Pixels", Graphics Gems II, 1991).
 * - OpenEXR: the data window among attributes of name, type, size and value, up to an empty name ("OpenEXR File
 *   Layout", openexr.com). three's loader (0.187) searches on for ever in a header that was cut off.
 * @throws Error if the header says nothing of the kind
 */
export function claimedSize(bytes: Uint8Array): [number, number] {
  return isRadiance(bytes) ? radianceHeader(bytes).size : exrHeader(bytes).size;
}

/**
 * @throws Error if pixels of the size that the header claims are not all there. Of OpenEXR pictures in tiles or parts
 *   only the decoder can tell.
 */
export function checkWhole(bytes: Uint8Array): void {
  if (isRadiance(bytes)) checkScanlines(bytes);
  else checkChunks(bytes);
}

export function isRadiance(bytes: Uint8Array): boolean {
  return bytes[0] === 0x23;
}

const cutOff = (have: number, want: number, what: string) =>
  new Error(`it is cut off: ${have} of ${want} ${what} are there`);

function radianceHeader(bytes: Uint8Array): { size: [number, number]; pixels: number } {
  const text = Buffer.from(bytes.buffer, bytes.byteOffset, Math.min(bytes.length, 8192)).toString('latin1');
  const found = /\n[-+]([XY]) (\d+) [-+]([XY]) (\d+)\n/.exec(text);
  if (!found || found[1] === found[3]) throw new Error('its header tells no size');
  const [first, second] = [Number(found[2]), Number(found[4])];
  return {
    size: found[1] === 'Y' ? [second, first] : [first, second],
    pixels: found.index + found[0].length,
  };
}

/** Lines begin with 2, 2 and their width, then hold four runs of bytes; or all pixels follow flat, four bytes each. */
function checkScanlines(bytes: Uint8Array): void {
  const {
    size: [width, height],
    pixels,
  } = radianceHeader(bytes);
  const encoded = width >= 8 && width <= 0x7fff && bytes[pixels] === 2 && bytes[pixels + 1] === 2;
  if (!encoded || bytes[pixels + 2] & 0x80) {
    const there = Math.floor((bytes.length - pixels) / 4);
    if (there < width * height) throw cutOff(there, width * height, 'pixels');
    return;
  }
  let p = pixels;
  for (let line = 0; line < height; line++) {
    p += 4;
    for (let filled = 0; filled < 4 * width; ) {
      if (p >= bytes.length) throw cutOff(line, height, 'lines');
      const count = bytes[p];
      const run = count > 128;
      if (count === 0) throw new Error(`its line ${line} holds an empty run`);
      filled += run ? count - 128 : count;
      p += 1 + (run ? 1 : count);
    }
    if (p > bytes.length) throw cutOff(line, height, 'lines');
  }
}

interface ExrHeader {
  size: [number, number];
  /** number of the way in which chunks are compressed */
  compression: number;
  /** neither tiled, deep nor of several parts */
  plain: boolean;
  /** where the table of chunks begins */
  table: number;
}

/** Lines in a chunk by compression: none, RLE, ZIPS, ZIP, PIZ, PXR24, B44, B44A, DWAA, DWAB ("OpenEXR File Layout"). */
const LINES_IN_CHUNK = [1, 1, 1, 16, 32, 16, 32, 32, 32, 256];
/** Bits of the version field: single part of tiles, deep data, several parts. */
const NOT_PLAIN = 0x200 | 0x800 | 0x1000;

function exrHeader(bytes: Uint8Array): ExrHeader {
  const view = viewOf(bytes);
  if (bytes.length < 9) throw new Error('its header is cut off');
  let size: [number, number] | undefined;
  let compression = 0;
  for (let p = 8; ; ) {
    const name = bytes.indexOf(0, p);
    if (name < 0) throw new Error('its header is cut off');
    if (name === p) {
      if (!size) throw new Error('its header tells no size');
      return { size, compression, plain: (view.getUint32(4, true) & NOT_PLAIN) === 0, table: p + 1 };
    }
    const type = bytes.indexOf(0, name + 1);
    if (type < 0 || type + 5 > bytes.length) throw new Error('its header is cut off');
    const length = view.getInt32(type + 1, true);
    const value = type + 5;
    if (length < 0 || value + length > bytes.length) throw new Error('its header is cut off');
    const attribute = Buffer.from(bytes.subarray(p, name)).toString('latin1');
    if (attribute === 'dataWindow' && length === 16) {
      const [left, top, right, bottom] = [0, 4, 8, 12].map((o) => view.getInt32(value + o, true));
      size = [right - left + 1, bottom - top + 1];
    }
    if (attribute === 'compression' && length === 1) compression = bytes[value];
    p = value + length;
  }
}

/** A table of places (8 bytes each) leads to chunks: first line, bytes that follow (4 bytes each), the bytes. */
function checkChunks(bytes: Uint8Array): void {
  const {
    size: [, height],
    compression,
    plain,
    table,
  } = exrHeader(bytes);
  const lines = LINES_IN_CHUNK[compression];
  if (lines === undefined) throw new Error(`its compression, number ${compression}, is not known`);
  if (!plain) return;
  const view = viewOf(bytes);
  const chunks = Math.ceil(height / lines);
  for (let i = 0; i < chunks; i++) {
    const entry = table + 8 * i;
    const at = entry + 8 <= bytes.length ? Number(view.getBigUint64(entry, true)) : bytes.length;
    const whole =
      at >= table + 8 * chunks &&
      at + 8 <= bytes.length &&
      at + 8 + view.getUint32(at + 4, true) <= bytes.length;
    if (!whole) throw cutOff(i, chunks, 'chunks');
  }
}

function viewOf(bytes: Uint8Array): DataView {
  return new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
}
