/**
 * A picture as a PDF of one page in its printed size (ISO 32000-1): the JPEG as it is, under it the words of the picture as
 * text that is not painted, so that they can be searched, copied and read out; a structure tree with the alternative text, the
 * language, and the XMP packet of the file. No date and no program's name, so equal input gives equal bytes.
 */
import sharp from 'sharp';

interface Sheet {
  /** any format that sharp reads */
  picture: Uint8Array;
  dpi: number;
  title: string;
  alt: string;
  /** BCP 47 */
  language: string;
  /** what can be read in it, a line each */
  words: readonly string[];
  xmp: string;
}

/** Points of a PDF in an inch. */
const POINTS = 72;

export async function pdfSheet({
  picture,
  dpi,
  title,
  alt,
  language,
  words,
  xmp,
}: Sheet): Promise<Uint8Array> {
  const { data: jpeg, info } = await sharp(picture)
    .flatten({ background: '#ffffff' })
    .jpeg({ quality: 92, chromaSubsampling: '4:4:4' })
    .toBuffer({ resolveWithObject: true });
  const width = round((info.width * POINTS) / dpi);
  const height = round((info.height * POINTS) / dpi);
  // small enough that no line, at half its size a letter on average, runs off the page
  const longest = Math.max(1, ...words.map((line) => line.length));
  const letter = round(Math.min(8, (width - 24) / (0.6 * longest), (height - 24) / (1.25 * words.length)));
  const lines = words.map((line) => `${literal(line)} Tj T*`).join('\n');
  const content =
    `/Figure <</MCID 0>> BDC\nq ${width} 0 0 ${height} 0 0 cm /Im Do Q\nEMC\n` +
    `/P <</MCID 1>> BDC\nBT 3 Tr /F ${letter} Tf ${round(1.25 * letter)} TL 12 ${round(height - 16)} Td\n${lines}\nET\nEMC\n`;
  const objects: (string | Buffer)[] = [
    `<</Type/Catalog/Pages 2 0 R/Lang ${literal(language)}/MarkInfo<</Marked true>>/StructTreeRoot 6 0 R/Metadata 9 0 R/ViewerPreferences<</DisplayDocTitle true>>>>`,
    '<</Type/Pages/Kids[3 0 R]/Count 1>>',
    `<</Type/Page/Parent 2 0 R/MediaBox[0 0 ${width} ${height}]/StructParents 0/Resources<</XObject<</Im 5 0 R>>/Font<</F 10 0 R>>>>/Contents 4 0 R>>`,
    stream('', Buffer.from(content, 'latin1')),
    stream(
      `/Type/XObject/Subtype/Image/Width ${info.width}/Height ${info.height}/ColorSpace/DeviceRGB/BitsPerComponent 8/Filter/DCTDecode`,
      jpeg,
    ),
    '<</Type/StructTreeRoot/K[7 0 R 8 0 R]/ParentTree<</Nums[0[7 0 R 8 0 R]]>>/ParentTreeNextKey 1>>',
    `<</Type/StructElem/S/Figure/P 6 0 R/Pg 3 0 R/K 0/Alt ${unicode(alt)}>>`,
    '<</Type/StructElem/S/P/P 6 0 R/Pg 3 0 R/K 1>>',
    stream('/Type/Metadata/Subtype/XML', Buffer.from(xmp, 'utf8')),
    '<</Type/Font/Subtype/Type1/BaseFont/Helvetica/Encoding/WinAnsiEncoding>>',
    `<</Title ${unicode(title)}>>`,
  ];
  return file(objects);
}

/** Objects from 1 on, a table of where they begin, and the trailer; the last object is the information dictionary. */
function file(objects: readonly (string | Buffer)[]): Uint8Array {
  const parts: Buffer[] = [Buffer.from('%PDF-1.7\n%\xe2\xe3\xcf\xd3\n', 'latin1')];
  const places: number[] = [];
  let length = parts[0].length;
  objects.forEach((body, i) => {
    const part = Buffer.concat([
      Buffer.from(`${i + 1} 0 obj\n`),
      typeof body === 'string' ? Buffer.from(body, 'latin1') : body,
      Buffer.from('\nendobj\n'),
    ]);
    places.push(length);
    length += part.length;
    parts.push(part);
  });
  const table = places.map((at) => `${String(at).padStart(10, '0')} 00000 n \n`).join('');
  const size = objects.length + 1;
  parts.push(
    Buffer.from(
      `xref\n0 ${size}\n0000000000 65535 f \n${table}trailer\n<</Size ${size}/Root 1 0 R/Info ${objects.length} 0 R>>\nstartxref\n${length}\n%%EOF\n`,
    ),
  );
  return Buffer.concat(parts);
}

function stream(dictionary: string, data: Buffer): Buffer {
  return Buffer.concat([
    Buffer.from(`<<${dictionary}/Length ${data.length}>>\nstream\n`, 'latin1'),
    data,
    Buffer.from('\nendstream'),
  ]);
}

/** In WinAnsi; what it does not have becomes a question mark. */
function literal(text: string): string {
  const known = [...text].map((c) => (c.charCodeAt(0) > 255 ? (WIN_ANSI[c] ?? '?') : c)).join('');
  return `(${known.replace(/[\\()]/g, (c) => `\\${c}`).replace(/[\r\n]/g, ' ')})`;
}

/** Signs that WinAnsi has elsewhere than Latin-1 (ISO 32000-1, annex D). */
const WIN_ANSI: Record<string, string> = {
  '–': '\x96',
  '—': '\x97',
  '’': '\x92',
  '“': '\x93',
  '”': '\x94',
  '…': '\x85',
  '€': '\x80',
};

/** UTF-16 with its mark, as hexadecimal digits. */
function unicode(text: string): string {
  const bytes = Buffer.from(`\ufeff${text}`, 'utf16le').swap16();
  return `<${bytes.toString('hex')}>`;
}

const round = (value: number) => Number(value.toFixed(2));
