/**
 * A workshop's logo for papers: any SVG, PNG or JPEG becomes one small opaque PNG on white. What is printed is never
 * the file itself, so nothing in it can run, load or hide, and a large one costs no more than a small one.
 */
import { readFile } from 'node:fs/promises';
import sharp from 'sharp';
import { type Problem, ProblemError } from '../problem.ts';
import { findSvgHazards } from './svg-hazards.ts';

/** 45 mm by 18 mm at 500 dots per inch. */
const BOX = { width: 900, height: 360 };
const MOST_SVG_BYTES = 2 * 1024 * 1024;
const MOST_PIXELS = 100e6;
/** On white paper nothing lighter than this is seen: WCAG contrast 1.2 to white. */
const LIGHTEST = 233;

export interface Logo {
  /** PNG */
  data: Uint8Array;
  width: number;
  height: number;
}

/**
 * @param path absolute; size was checked when the config was read
 * @throws ProblemError if the file is no picture, is hazardous (SVG), has too many pixels, or is invisible on white
 */
export async function loadLogo(
  path: string,
  read: (path: string) => Promise<Uint8Array> = readFile,
): Promise<Logo> {
  const refuse = (received: string, advice: string, expected = 'a logo as SVG, PNG or JPEG') =>
    new ProblemError([problem(expected, received, advice)]);
  const bytes = await read(path).catch((cause: Error) => {
    throw refuse(cause.message, 'Check the path and its permissions.');
  });
  const data = Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const svg = isSvg(data);
  if (svg) {
    if (data.length > MOST_SVG_BYTES)
      throw refuse(
        `${(data.length / 1024 / 1024).toFixed(1)} MB`,
        'Simplify the drawing.',
        'an SVG of at most 2 MB',
      );
    const hazards = findSvgHazards(data.toString('utf8'));
    if (hazards.length > 0)
      throw new ProblemError(hazards.map((h) => problem(h.expected, h.received, h.advice)));
  } else if (!isRaster(data)) throw refuse('a file that is none of these', 'Save the logo as PNG.');
  try {
    const options = { limitInputPixels: MOST_PIXELS };
    const { width = 1, height = 1 } = await sharp(data, options).metadata();
    const scale = Math.min(BOX.width / width, BOX.height / height);
    // vectors are drawn at their final size
    const density = svg ? Math.min(2400, Math.max(1, 72 * scale)) : 72;
    const { data: png, info } = await sharp(data, { ...options, density })
      .rotate()
      .resize({ ...BOX, fit: 'inside', withoutEnlargement: !svg })
      .flatten({ background: '#ffffff' })
      .toColourspace('srgb')
      .png({ compressionLevel: 9 })
      .toBuffer({ resolveWithObject: true });
    const { channels } = await sharp(png).stats();
    if (Math.min(...channels.map((c) => c.min)) > LIGHTEST)
      throw refuse(
        'one that cannot be seen on white paper',
        'Give a version of the logo for light grounds.',
        'a logo darker than its paper',
      );
    return { data: png, width: info.width, height: info.height };
  } catch (error) {
    if (error instanceof ProblemError) throw error;
    const received = error instanceof Error ? error.message.split('\n')[0] : String(error);
    throw refuse(received, `Save the logo again, with at most ${MOST_PIXELS / 1e6} million pixels.`);
  }
}

function isSvg(data: Buffer): boolean {
  return /^\uFEFF?\s*<[\s\S]*<?svg[\s>:]/i.test(data.subarray(0, 65536).toString('utf8'));
}

function isRaster(data: Buffer): boolean {
  const png = data.subarray(0, 8).equals(Buffer.from('\x89PNG\r\n\x1a\n', 'latin1'));
  return png || data.subarray(0, 3).equals(Buffer.from([0xff, 0xd8, 0xff]));
}

function problem(expected: string, received: string, advice: string): Problem {
  return { code: 'logo', severity: 'error', path: 'workshop.logo', expected, received, advice };
}
