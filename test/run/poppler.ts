/** Poppler's tools as an independent reader of PDFs; tests that need them are skipped where they are missing. */
import { spawnSync } from 'node:child_process';

export const hasPoppler = spawnSync('sh', ['-c', 'pdftotext -v && pdfinfo -v && pdffonts -v']).status === 0;

export interface PdfFont {
  name: string;
  embedded: boolean;
  mapped: boolean;
}

export interface ReadPdf {
  /** without spaces: where a line is broken is the layout's business */
  letters: string;
  /** of each page, points */
  sizes: [width: number, height: number][];
  fonts: PdfFont[];
  /** words with their boxes, as poppler writes them */
  boxes: string;
}

const TOOLS = ['pdftotext -raw "$f" -', 'pdfinfo -f 1 -l 99 "$f"', 'pdffonts "$f"', 'pdftotext -bbox "$f" -'];

/** One shell starts all tools for all files: from this process, which has grown, a start costs ten times as much. */
export function readPdfs(files: readonly string[]): ReadPdf[] {
  const each = TOOLS.map((tool) => `${tool} || exit; printf '\\0'`).join('; ');
  const options = { encoding: 'utf8', maxBuffer: 64e6 } as const;
  const script = `for f; do ${each}; done`;
  const { status, stdout, stderr } = spawnSync('sh', ['-c', script, 'sh', ...files], options);
  if (status !== 0) throw new Error(`poppler: ${stderr}`);
  const said = stdout.split('\0');
  return files.map((_, i) => {
    const [text, info, fonts, boxes] = said.slice(i * TOOLS.length);
    return { letters: squeezed(text), sizes: sizesOf(info), fonts: fontsOf(fonts), boxes };
  });
}

export const squeezed = (text: string) => text.normalize('NFC').replace(/\s+/g, '');

function sizesOf(info: string): ReadPdf['sizes'] {
  return [...info.matchAll(/^Page\s+\d+ size:\s+([\d.]+) x ([\d.]+) pts/gm)].map(([, w, h]) => [
    Number(w),
    Number(h),
  ]);
}

function fontsOf(table: string): PdfFont[] {
  const [, rule, ...lines] = table.trimEnd().split('\n');
  // the ruled line under the headings says how wide its columns are
  const ends = [...rule.matchAll(/-+/g)].map((m) => m.index + m[0].length);
  return lines.map((line) => {
    const cells = ends.map((end, i) => line.slice(i === 0 ? 0 : ends[i - 1], end).trim());
    return { name: cells[0], embedded: cells[3] === 'yes', mapped: cells[5] === 'yes' };
  });
}

/** Words that come nearer to an edge of their page than a margin, points. */
export function wordsOutside({ boxes }: ReadPdf, marginPt: number): string[] {
  const found: string[] = [];
  let page = [0, 0];
  for (const line of boxes.split('\n')) {
    const size = /<page width="([\d.]+)" height="([\d.]+)"/.exec(line);
    if (size) page = [Number(size[1]), Number(size[2])];
    const word =
      /<word xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">(.*)<\/word>/.exec(line);
    if (!word) continue;
    const [x0, y0, x1, y1] = word.slice(1, 5).map(Number);
    const within = x0 >= marginPt && y0 >= marginPt && x1 <= page[0] - marginPt && y1 <= page[1] - marginPt;
    if (!within) found.push(word[5]);
  }
  return found;
}
