/**
 * Moving pictures as WebP files (RFC 9649): every frame whole and encoded by itself. libwebp's own encoder of animations
 * takes pixels for unchanged that differ by a few codes from the frame before, so that a slow fade never arrives.
 */
import sharp from 'sharp';
import type { MovingFrame } from './moving.ts';

const ICC = 0x20;
const ANIMATION = 0x02;
/** A frame takes the place of the one before, without blending. */
const REPLACES = 0x02;

/** Frames of one size as an animated WebP that runs for ever, with an sRGB profile. @param quality 1 to 100, of each frame */
export async function animatedWebp(frames: readonly MovingFrame[], quality: number): Promise<Uint8Array> {
  const [{ width, height }] = frames.map(({ print }) => print);
  const times = durations(frames);
  let profile: Buffer | undefined;
  const parts: Buffer[] = [];
  for (const [i, { print }] of frames.entries()) {
    const still = sharp(print.data, { raw: { width, height, channels: 3 } });
    if (i === 0) still.withIccProfile('srgb');
    const chunks = chunksOf(await still.webp({ quality, effort: 4, smartSubsample: true }).toBuffer());
    profile ??= chunks.get('ICCP');
    const place = Buffer.concat([u24(0), u24(0), u24(width - 1), u24(height - 1), u24(times[i])]);
    parts.push(chunk('ANMF', place, Buffer.from([REPLACES]), chunk('VP8 ', chunks.get('VP8 ')!)));
  }
  const flags = Buffer.from([ANIMATION | (profile ? ICC : 0), 0, 0, 0]);
  return chunk(
    'RIFF',
    Buffer.from('WEBP'),
    chunk('VP8X', flags, u24(width - 1), u24(height - 1)),
    ...(profile ? [chunk('ICCP', profile)] : []),
    // on white, over and over
    chunk('ANIM', Buffer.from([255, 255, 255, 255, 0, 0])),
    ...parts,
  );
}

/** ms of each frame; to the millisecond in all, however they divide. */
function durations(frames: readonly MovingFrame[]): number[] {
  let time = 0;
  const ends = frames.map(({ seconds }) => {
    time += seconds;
    return Math.round(1000 * time);
  });
  return ends.map((end, i) => end - (ends[i - 1] ?? 0));
}

function u24(value: number): Buffer {
  const bytes = Buffer.alloc(3);
  bytes.writeUIntLE(value, 0, 3);
  return bytes;
}

/** Name, length, bytes, and one more where their number is odd. */
function chunk(name: string, ...payload: Buffer[]): Buffer {
  const bytes = Buffer.concat(payload);
  const head = Buffer.alloc(8);
  head.write(name, 'latin1');
  head.writeUInt32LE(bytes.length, 4);
  return Buffer.concat([head, bytes, Buffer.alloc(bytes.length % 2)]);
}

/** The first chunk of each name of a still picture. */
function chunksOf(file: Buffer): Map<string, Buffer> {
  const chunks = new Map<string, Buffer>();
  for (let at = 12; at + 8 <= file.length; ) {
    const name = file.toString('latin1', at, at + 4);
    const length = file.readUInt32LE(at + 4);
    if (!chunks.has(name)) chunks.set(name, file.subarray(at + 8, at + 8 + length));
    at += 8 + length + (length % 2);
  }
  return chunks;
}
