/**
 * XMP in a PNG: an uncompressed iTXt chunk with the keyword `XML:com.adobe.xmp` (XMP part 3; PNG: ISO/IEC 15948,
 * 11.3.4.5), right after the header. sharp 0.35.5 writes it as zTXt, whose text the PNG standard takes for Latin-1.
 */
const SIGNATURE_AND_IHDR = 8 + 25;

export function pngWithXmp(png: Uint8Array, packet: string): Uint8Array {
  const body = Buffer.concat([
    Buffer.from('iTXtXML:com.adobe.xmp\0\0\0\0\0', 'latin1'),
    Buffer.from(packet, 'utf8'),
  ]);
  const length = Buffer.alloc(4);
  length.writeUInt32BE(body.length - 4);
  const check = Buffer.alloc(4);
  check.writeUInt32BE(crc32(body));
  return Buffer.concat([
    png.subarray(0, SIGNATURE_AND_IHDR),
    length,
    body,
    check,
    png.subarray(SIGNATURE_AND_IHDR),
  ]);
}

/** ISO/IEC 15948, 5.5: polynomial 0xedb88320, reflected; `zlib.crc32` is younger than the oldest Node we run on. */
function crc32(bytes: Uint8Array): number {
  let crc = 0xffffffff;
  for (const byte of bytes) {
    crc ^= byte;
    for (let bit = 0; bit < 8; bit++) crc = (crc >>> 1) ^ (crc & 1 ? 0xedb88320 : 0);
  }
  return (crc ^ 0xffffffff) >>> 0;
}
