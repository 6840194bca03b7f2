/** Reads the ICC profile out of picture bytes by the formats' own specifications, without an image library. */
import { inflateSync } from 'node:zlib';

/** ISO/IEC 15948 (PNG): iCCP chunk holds a name, a zero, a method byte and a zlib stream. */
function fromPng(bytes: Buffer): Buffer | undefined {
  for (let at = 8; at < bytes.length; ) {
    const length = bytes.readUInt32BE(at);
    if (bytes.toString('latin1', at + 4, at + 8) === 'iCCP') {
      const chunk = bytes.subarray(at + 8, at + 8 + length);
      return inflateSync(chunk.subarray(chunk.indexOf(0) + 2));
    }
    at += 12 + length;
  }
  return undefined;
}

/** ICC.1:2010 annex B.4: APP2 segments that begin `ICC_PROFILE\0`, sequence number, count. */
function fromJpeg(bytes: Buffer): Buffer | undefined {
  const parts: Buffer[] = [];
  for (let at = 2; bytes[at] === 0xff && bytes[at + 1] !== 0xda; ) {
    const length = bytes.readUInt16BE(at + 2);
    const body = bytes.subarray(at + 4, at + 2 + length);
    if (bytes[at + 1] === 0xe2 && body.toString('latin1', 0, 12) === 'ICC_PROFILE\0')
      parts.push(body.subarray(14));
    at += 2 + length;
  }
  return parts.length > 0 ? Buffer.concat(parts) : undefined;
}

/** RFC 9649 (WebP): RIFF chunk `ICCP`. */
function fromWebp(bytes: Buffer): Buffer | undefined {
  for (let at = 12; at < bytes.length; ) {
    const length = bytes.readUInt32LE(at + 4);
    if (bytes.toString('latin1', at, at + 4) === 'ICCP') return bytes.subarray(at + 8, at + 8 + length);
    at += 8 + length + (length & 1);
  }
  return undefined;
}

export function readIccProfile(data: Uint8Array): Buffer | undefined {
  const bytes = Buffer.from(data);
  if (bytes[0] === 0x89) return fromPng(bytes);
  return bytes[0] === 0xff ? fromJpeg(bytes) : fromWebp(bytes);
}

/** XYZ of a colorant tag, s15Fixed16 numbers (ICC.1:2010, 10.31). */
export function readColorant(profile: Buffer, tag: string): [number, number, number] | undefined {
  const count = profile.readUInt32BE(128);
  for (let i = 0; i < count; i++) {
    const entry = 132 + 12 * i;
    if (profile.toString('latin1', entry, entry + 4) !== tag) continue;
    const at = profile.readUInt32BE(entry + 4) + 8;
    return [0, 4, 8].map((o) => profile.readInt32BE(at + o) / 65536) as [number, number, number];
  }
  return undefined;
}
