/**
 * Watermarks: a workshop's logo (SVG or PNG) or a line of text, laid over finished pictures.
 *
 * A logo file is material from outside, so it is read strictly: an SVG that runs, loads or hides anything is
 * refused with a reason rather than drawn without the offending part.
 */
import { readFile } from 'node:fs/promises';
import sharp, { type OutputInfo } from 'sharp';
import type { WatermarkPlan } from '../catalogue/plan.ts';
import { type Problem, ProblemError } from '../problem.ts';
import { letteringSvg, missingLetters } from './lettering.ts';
import { inkOn, markBoxes } from './mark-place.ts';
import { findSvgHazards } from './svg-hazards.ts';

export const LARGEST_FILE_BYTES = 2 * 1024 * 1024;
export const LARGEST_SIDE_PX = 4096;

/** A watermark that has been read and found sound. */
export interface Watermark {
  kind: 'svg' | 'png';
  data: Uint8Array;
  /** natural size, px */
  width: number;
  height: number;
  plan: WatermarkPlan;
}

/**
 * Reads and checks a watermark. All effects are in `read`.
 * @throws ProblemError if the file cannot be read, is neither SVG nor PNG, is too large, holds script, outside
 *   references, entities or text set in system fonts; or if the text has letters that cannot be drawn
 */
export async function loadWatermark(
  plan: WatermarkPlan,
  read: (path: string) => Promise<Uint8Array> = readFile,
): Promise<Watermark> {
  if (plan.image !== undefined) return loadLogo(plan, plan.image, read);
  const text = plan.text?.trim() ?? '';
  if (text === '') {
    throw refuse('watermark-empty', 'watermark', 'an image or a text', 'neither', 'Give one of the two.');
  }
  const missing = missingLetters(text);
  if (missing.length > 0) {
    throw refuse(
      'watermark-letters',
      'watermark.text',
      'Latin letters, figures and common punctuation',
      missing.map((l) => JSON.stringify(l)).join(', '),
      'Draw the text as paths in an SVG file and give that as watermark.image.',
    );
  }
  const data = Buffer.from(letteringSvg(text));
  const { width, height } = await sharp(data).metadata();
  return { kind: 'svg', data, width, height, plan };
}

async function loadLogo(
  plan: WatermarkPlan,
  path: string,
  read: (path: string) => Promise<Uint8Array>,
): Promise<Watermark> {
  const expected = 'a readable SVG or PNG file';
  const bad = (code: string, want: string, got: string, advice: string) =>
    refuse(`watermark-${code}`, 'watermark.image', want, got, advice);
  const data = await read(path).catch((cause: NodeJS.ErrnoException) => {
    throw bad(
      'unreadable',
      expected,
      `${path} (${cause.code ?? cause.message})`,
      'Check the path and its permissions.',
    );
  });
  if (data.length > LARGEST_FILE_BYTES) {
    const size = `${(data.length / 1024 / 1024).toFixed(1)} MB`;
    throw bad('too-big', 'at most 2 MB', size, 'Simplify the drawing or save it smaller.');
  }
  const kind = fileKind(data);
  if (!kind) throw bad('kind', expected, `${path}, which is neither`, 'Save the logo as SVG or PNG.');
  if (kind === 'svg') {
    const hazards = findSvgHazards(Buffer.from(data).toString('utf8'));
    if (hazards.length > 0) {
      throw new ProblemError(
        hazards.map((h) => problem('watermark-svg', 'watermark.image', h.expected, h.received, h.advice)),
      );
    }
  }
  const size = await sharp(data, { limitInputPixels: LARGEST_SIDE_PX ** 2 * 4 })
    .metadata()
    .catch((cause: Error) => {
      throw bad('broken', expected, `${path} (${firstLine(cause.message)})`, 'Save the logo again.');
    });
  if (Math.max(size.width, size.height) > LARGEST_SIDE_PX) {
    const got = `${size.width} × ${size.height} px`;
    throw bad('too-large', `at most ${LARGEST_SIDE_PX} px a side`, got, 'Save it with a smaller size.');
  }
  const mark: Watermark = { kind, data, width: size.width, height: size.height, plan };
  // metadata reads headers only: draw once, small, so that a torn file is found now and not after hours of tracing
  await drawMark(mark, 64).catch((cause: Error) => {
    throw bad('broken', expected, `${path} (${firstLine(cause.message)})`, 'Save the logo again.');
  });
  return mark;
}

function fileKind(data: Uint8Array): Watermark['kind'] | undefined {
  const bytes = Buffer.from(data.buffer, data.byteOffset, data.byteLength);
  if (bytes.subarray(0, 8).equals(Buffer.from('\x89PNG\r\n\x1a\n', 'latin1'))) return 'png';
  // a DOCTYPE may stand before the root; it is refused later with its own reason
  if (/^\uFEFF?\s*<[\s\S]*<?svg[\s>:]/i.test(bytes.subarray(0, 65536).toString('utf8'))) return 'svg';
  return undefined;
}

/**
 * Lays the watermark over 8-bit sRGB pixels, three channels or four with straight alpha. Its width is `size` of the
 * picture's width, less if it would not fit between the margins. A text is dark on light ground and light on dark, decided
 * under each of its places; a logo keeps its colours unless `ink` asks for the same.
 * @returns the same pixels if there is no watermark
 */
export async function stampWatermark(
  codes: Uint8Array,
  width: number,
  height: number,
  mark?: Watermark,
): Promise<{ width: number; height: number; data: Uint8Array }> {
  if (!mark || mark.plan.opacity <= 0) return { width, height, data: codes };
  const picture = { data: codes, width, height };
  const channels = codes.length === width * height * 4 ? 4 : 3;
  const boxes = markBoxes(mark, picture);
  const drawn = await drawMark(mark, boxes[0].width);
  for (let i = 3; i < drawn.data.length; i += 4) drawn.data[i] *= mark.plan.opacity;
  const raw = { width: drawn.info.width, height: drawn.info.height, channels: 4 as const };
  const inks = new Map<string, Buffer>();
  const layers = boxes.map((box) => {
    const ink = inksByContrast(mark.plan) ? inkOn(picture, box) : '';
    const input = inks.get(ink) ?? (ink ? inked(drawn.data, ink) : drawn.data);
    inks.set(ink, input);
    return { input, raw, left: box.left, top: box.top };
  });
  const stamped = sharp(codes, { raw: { width, height, channels } }).composite(layers);
  const data = await (channels === 3 ? stamped.removeAlpha() : stamped).raw().toBuffer();
  return { width, height, data };
}

function inksByContrast({ ink, image }: WatermarkPlan): boolean {
  return (ink ?? (image === undefined ? 'contrast' : 'own')) === 'contrast';
}

/** The same shape in one colour. */
function inked(rgba: Buffer, ink: string): Buffer {
  const [r, g, b] = [1, 3, 5].map((at) => Number.parseInt(ink.slice(at, at + 2), 16));
  const out = Buffer.from(rgba);
  for (let i = 0; i < out.length; i += 4) {
    out[i] = r;
    out[i + 1] = g;
    out[i + 2] = b;
  }
  return out;
}

/** Straight-alpha RGBA at the given width; vectors are drawn at that size, not scaled afterwards. */
async function drawMark(mark: Watermark, width: number): Promise<{ data: Buffer; info: OutputInfo }> {
  const density = mark.kind === 'svg' ? Math.min(2400, Math.max(1, (72 * width) / mark.width)) : 72;
  const height = Math.max(1, Math.round((width * mark.height) / mark.width));
  return sharp(mark.data, { density })
    .resize(width, height, { fit: 'fill' })
    .toColourspace('srgb')
    .ensureAlpha()
    .raw({ depth: 'uchar' })
    .toBuffer({ resolveWithObject: true });
}

function firstLine(text: string): string {
  return text.split('\n')[0];
}

function problem(code: string, path: string, expected: string, received: string, advice: string): Problem {
  return { code, severity: 'error', path, expected, received, advice };
}

function refuse(...args: Parameters<typeof problem>): ProblemError {
  return new ProblemError([problem(...args)]);
}
