/**
 * A workshop's logo for papers: any SVG, PNG or JPEG becomes one small opaque PNG on white. What is printed is never
 * the file itself, so nothing in it can run, load or hide, and a large one costs no more than a small one.
 */
import sharp from 'sharp';
import { ProblemError } from '../problem.ts';
import { type LogoPlace, readLogoFile, refuseLogo } from './logo-file.ts';

/** 45 mm by 18 mm at 500 dots per inch. */
const BOX = { width: 900, height: 360 };
const MOST_PIXELS = 100e6;
/** On white paper nothing lighter than this is seen: WCAG contrast 1.2 to white. */
const LIGHTEST = 233;

const PLACE: LogoPlace = {
  code: 'logo',
  path: 'workshop.logo',
  kinds: ['svg', 'png', 'jpeg'],
  mostBytes: 16 * 1024 * 1024,
};

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
export async function loadLogo(path: string, read?: (path: string) => Promise<Uint8Array>): Promise<Logo> {
  const { kind, data } = await readLogoFile(path, PLACE, read);
  try {
    const options = { limitInputPixels: MOST_PIXELS };
    const { width = 1, height = 1 } = await sharp(data, options).metadata();
    const scale = Math.min(BOX.width / width, BOX.height / height);
    // vectors are drawn at their final size
    const density = kind === 'svg' ? Math.min(2400, Math.max(1, 72 * scale)) : 72;
    const { data: png, info } = await sharp(data, { ...options, density })
      .rotate()
      .resize({ ...BOX, fit: 'inside', withoutEnlargement: kind !== 'svg' })
      .flatten({ background: '#ffffff' })
      .toColourspace('srgb')
      .png({ compressionLevel: 9 })
      .toBuffer({ resolveWithObject: true });
    const { channels } = await sharp(png).stats();
    if (Math.min(...channels.map((c) => c.min)) > LIGHTEST)
      throw refuseLogo(
        PLACE,
        'invisible',
        'a logo darker than its paper',
        'one that cannot be seen on white paper',
        'Give a version of the logo for light grounds.',
      );
    return { data: png, width: info.width, height: info.height };
  } catch (error) {
    if (error instanceof ProblemError) throw error;
    const received = error instanceof Error ? error.message.split('\n')[0] : String(error);
    const advice = `Save the logo again, with at most ${MOST_PIXELS / 1e6} million pixels.`;
    throw refuseLogo(PLACE, 'broken', 'a logo that can be drawn', received, advice);
  }
}
