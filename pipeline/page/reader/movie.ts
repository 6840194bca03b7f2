/**
 * Frames to a film, by the codecs of the browser (WebCodecs): VP9 in WebM, H.264 in MP4. Put on `globalThis` as `writeMovie`;
 * needs a page with a secure context.
 */
import {
  BufferTarget,
  CanvasSource,
  canEncodeVideo,
  Mp4OutputFormat,
  Output,
  type VideoCodec,
  WebMOutputFormat,
} from 'mediabunny';

export interface MovieOrder {
  format: 'webm' | 'mp4';
  width: number;
  height: number;
  /** frames a second that times are multiples of */
  rate: number;
  /** bits a second */
  bitrate: number;
  /** PNG files in base64, each with how long it is seen, s */
  frames: { png: string; seconds: number }[];
}

/** The film in base64, or the name of the codec that this browser cannot write. */
export type Movie = { data: string } | { lacking: string };

const CODECS: Record<MovieOrder['format'], VideoCodec> = { webm: 'vp9', mp4: 'avc' };

async function writeMovie({ format, width, height, rate, bitrate, frames }: MovieOrder): Promise<Movie> {
  const codec = CODECS[format];
  if (!(await canEncodeVideo(codec, { width, height, bitrate }))) return { lacking: codec };
  const canvas = new OffscreenCanvas(width, height);
  const pen = canvas.getContext('2d', { alpha: false });
  if (!pen) throw new Error('this browser draws on no canvas');
  const target = new BufferTarget();
  const output = new Output({
    format: format === 'webm' ? new WebMOutputFormat() : new Mp4OutputFormat({ fastStart: 'in-memory' }),
    target,
  });
  const source = new CanvasSource(canvas, {
    codec,
    bitrate,
    keyFrameInterval: frames.reduce((sum, { seconds }) => sum + seconds, 0),
    latencyMode: 'quality',
  });
  output.addVideoTrack(source, { frameRate: rate });
  await output.start();
  let time = 0;
  for (const { png, seconds } of frames) {
    const bitmap = await createImageBitmap(new Blob([bytesOf(png)], { type: 'image/png' }));
    pen.drawImage(bitmap, 0, 0);
    bitmap.close();
    await source.add(time, seconds);
    time += seconds;
  }
  await output.finalize();
  if (!target.buffer) throw new Error('the film has no bytes');
  return { data: base64Of(new Uint8Array(target.buffer)) };
}

function bytesOf(base64: string): Uint8Array<ArrayBuffer> {
  return Uint8Array.from(atob(base64), (c) => c.charCodeAt(0));
}

/** Pieces of a text that one call can be given. */
const PIECE = 0x8000;

function base64Of(bytes: Uint8Array): string {
  let text = '';
  for (let i = 0; i < bytes.length; i += PIECE) text += String.fromCharCode(...bytes.subarray(i, i + PIECE));
  return btoa(text);
}

Object.assign(globalThis, { writeMovie });
