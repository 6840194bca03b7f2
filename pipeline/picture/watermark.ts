/** Watermarks: a workshop's logo (SVG or PNG) or a line of text, laid over finished pictures. */
import sharp, { type OutputInfo } from 'sharp';
import type { WatermarkPlan } from '../plan/plan.ts';
import { ProblemError } from '../problem.ts';
import { letteringSvg, missingLetters } from './lettering.ts';
import { kindNames, type LogoPlace, readLogoFile, refuseLogo } from './logo-file.ts';
import { inkOn, markBoxes } from './mark-place.ts';

const LARGEST_SIDE_PX = 4096;

const PLACE: LogoPlace = {
  code: 'watermark',
  path: 'watermark.image',
  kinds: ['svg', 'png'],
  mostBytes: 8 * 1024 * 1024,
};

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
  read?: (path: string) => Promise<Uint8Array>,
): Promise<Watermark> {
  if (plan.image !== undefined) return drawnMark(plan, plan.image, read);
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

async function drawnMark(
  plan: WatermarkPlan,
  path: string,
  read?: (path: string) => Promise<Uint8Array>,
): Promise<Watermark> {
  const { kind, data } = await readLogoFile(path, PLACE, read);
  const broken = (cause: Error) => {
    const received = `${path} (${cause.message.split('\n')[0]})`;
    throw refuseLogo(
      PLACE,
      'broken',
      `a readable ${kindNames(PLACE)} file`,
      received,
      'Save the logo again.',
    );
  };
  const size = await sharp(data, { limitInputPixels: LARGEST_SIDE_PX ** 2 * 4 })
    .metadata()
    .catch(broken);
  if (Math.max(size.width, size.height) > LARGEST_SIDE_PX)
    throw refuseLogo(
      PLACE,
      'too-large',
      `at most ${LARGEST_SIDE_PX} px a side`,
      `${size.width} × ${size.height} px`,
      'Save it with a smaller size.',
    );
  const mark: Watermark = {
    kind: kind === 'svg' ? 'svg' : 'png',
    data,
    width: size.width,
    height: size.height,
    plan,
  };
  // metadata reads headers only: draw once, small, so that a torn file is found now and not after hours of tracing
  await drawMark(mark, 64).catch(broken);
  return mark;
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

function refuse(
  code: string,
  path: string,
  expected: string,
  received: string,
  advice: string,
): ProblemError {
  return new ProblemError([{ code, severity: 'error', path, expected, received, advice }]);
}
