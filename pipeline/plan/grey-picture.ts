/**
 * A picture as a design holds it: its columns and rows, then a byte of darkness for each place (0 white, 255 black), row by
 * row from the top, in base64. What is built hangs on what is pictured, and on no file's name.
 */
export const GREY_PICTURE = /^(?:grey \d+x\d+ [\w+/]+=*|.+\.(?:png|jpe?g))$/i;

/** Its length as a multiple of its height. */
export function lengthOfGrey(grey: string): number {
  const size = /^grey (\d+)x(\d+) /.exec(grey);
  return size ? Number(size[1]) / Number(size[2]) : 1;
}

/** Bytes that a file may have. */
export const MOST_PICTURE_BYTES = 32 * 1024 * 1024;
const MOST_PIXELS = 64_000_000;
/** Places kept of a picture: twice as many as the mesh of a lane can show of most. */
const MOST_PLACES = 65_536;
/** What is nowhere darker than this share would not be seen as relief. */
const LEAST_DARK = 0.1;

/**
 * The grey values of a PNG or JPEG file; what shows through is white, colours count by their lightness.
 * @throws Error whose message says what was found instead
 */
export async function readGreyPicture(bytes: Uint8Array): Promise<string> {
  const { default: sharp } = await import('sharp');
  const opened = sharp(bytes, { limitInputPixels: MOST_PIXELS }).rotate();
  const { format, width = 0, height = 0 } = await opened.metadata();
  if (format !== 'png' && format !== 'jpeg') throw new Error(`a picture of the format ${format}`);
  const shrink = Math.min(1, Math.sqrt(MOST_PLACES / (width * height)));
  const { data, info } = await opened
    .flatten({ background: '#ffffff' })
    .resize({ width: Math.max(1, Math.round(width * shrink)), fit: 'inside', withoutEnlargement: true })
    .toColourspace('b-w')
    .raw({ depth: 'uchar' })
    .toBuffer({ resolveWithObject: true });
  const places = info.width * info.height;
  if (info.width < 8 || info.height < 8) throw new Error(`a picture of ${width} × ${height} pixels`);
  const dark = Uint8Array.from({ length: places }, (_, i) => 255 - data[i * info.channels]);
  if (dark.every((value) => value < 255 * LEAST_DARK)) throw new Error('a picture without dark places');
  return `grey ${info.width}x${info.height} ${Buffer.from(dark).toString('base64')}`;
}
