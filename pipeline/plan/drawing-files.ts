import path from 'node:path';
import type { Findings } from './findings.ts';
import { MOST_PICTURE_BYTES, readGreyPicture } from './grey-picture.ts';
import { isMapping } from './raw-merge.ts';
import { type CatalogueFiles, readText } from './reading.ts';
import type { FieldPath, YamlSource } from './yaml-source.ts';

/**
 * A file whose drawings are path data and whose pictures in relief are grey values: where it names a file, what that holds
 * stands in its place, so that what is built hangs on what is drawn and not on a file's name. Files that cannot be used are
 * reported where they are named.
 * @returns also the absolute paths of what was read
 */
export async function withDrawings(
  source: YamlSource,
  files: CatalogueFiles,
  findings: Findings,
): Promise<{ source: YamlSource; read: string[] }> {
  const read: string[] = [];
  const walk = async (raw: unknown, at: FieldPath): Promise<unknown> => {
    if (Array.isArray(raw)) return Promise.all(raw.map((each, i) => walk(each, [...at, i])));
    if (isDrawing(raw, at)) return drawn(raw, at);
    if (isPicture(raw, at)) return pictured(raw, at);
    if (!isMapping(raw)) return raw;
    const entries = await Promise.all(
      Object.entries(raw).map(async ([key, value]) => [key, await walk(value, [...at, key])] as const),
    );
    return Object.fromEntries(entries);
  };
  const drawn = async (written: string, at: FieldPath): Promise<unknown> => {
    const file = path.resolve(path.dirname(source.file), written);
    read.push(file);
    const text = await readText(file, files).catch((error: unknown) => error);
    const found =
      typeof text === 'string' ? pathsOf(text) : String(text instanceof Error ? text.message : text);
    if (typeof found !== 'string') return found.join(' ');
    findings.add(
      {
        code: 'unreadable-drawing',
        path: at,
        expected: 'an SVG file of paths alone, without transforms',
        received: `${file}: ${found}`,
        advice: 'Turn shapes, text and strokes into paths, apply their transforms, and save as plain SVG.',
      },
      (field, key) => (key ? source.keyPlaceOf(field) : source.placeOf(field)),
    );
    return written;
  };
  const pictured = async (written: string, at: FieldPath): Promise<unknown> => {
    const file = path.resolve(path.dirname(source.file), written);
    read.push(file);
    try {
      return await readGreyPicture(await files.read(file, MOST_PICTURE_BYTES));
    } catch (error) {
      findings.add(
        {
          code: 'unreadable-picture',
          path: at,
          expected: 'a PNG or JPEG file with light and dark places, from 8 × 8 pixels',
          received: `${file}: ${error instanceof Error ? error.message : String(error)}`,
          advice: 'Save the picture as PNG: black is cut to the depth, white stays.',
        },
        (field, key) => (key ? source.keyPlaceOf(field) : source.placeOf(field)),
      );
      return written;
    }
  };
  const raw = await walk(source.raw, []);
  return { source: read.length > 0 ? { ...source, raw } : source, read };
}

const isDrawing = (raw: unknown, at: FieldPath): raw is string =>
  at.at(-1) === 'drawing' && typeof raw === 'string' && /\.svg$/i.test(raw.trim());

const isPicture = (raw: unknown, at: FieldPath): raw is string =>
  at.at(-1) === 'picture' &&
  at.at(-2) === 'texture' &&
  typeof raw === 'string' &&
  /\.(png|jpe?g)$/i.test(raw);

/** Path data of all paths of an SVG, or what else it holds. */
function pathsOf(svg: string): string[] | string {
  const text = svg.replace(/<!--[\s\S]*?-->/g, '');
  if (!/<svg[\s>]/i.test(text)) return 'no SVG';
  const other =
    /<(?:\w+:)?(rect|circle|ellipse|line|polyline|polygon|text|image|use|script|foreignObject)[\s/>]/i.exec(
      text,
    );
  if (other) return `<${other[1]}>`;
  if (/\stransform\s*=/i.test(text)) return 'a transform';
  const paths = [...text.matchAll(/<(?:\w+:)?path\b[^>]*?\sd\s*=\s*(["'])([\s\S]*?)\1/gi)].map(
    ([, , d]) => d,
  );
  return paths.length > 0 ? paths : 'no path';
}
