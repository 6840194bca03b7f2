/** Poppler's tools as an independent reader of PDFs; tests that need them are skipped where they are missing. */
import { spawnSync } from 'node:child_process';

const run = (tool: string, args: readonly string[]) => {
  const { status, stdout, stderr } = spawnSync(tool, args, { encoding: 'utf8', maxBuffer: 64e6 });
  if (status !== 0) throw new Error(`${tool}: ${stderr}`);
  return stdout;
};

export const hasPoppler = ['pdftotext', 'pdfinfo', 'pdffonts'].every(
  (tool) => spawnSync(tool, ['-v']).status === 0,
);

/** Without spaces: where a line is broken is the layout's business. */
export function pdfLetters(file: string): string {
  return squeezed(run('pdftotext', ['-raw', file, '-']));
}

export const squeezed = (text: string) => text.normalize('NFC').replace(/\s+/g, '');

/** Size of each page in points. */
export function pdfSizes(file: string): [width: number, height: number][] {
  const told = run('pdfinfo', ['-f', '1', '-l', '99', file]);
  return [...told.matchAll(/^Page\s+\d+ size:\s+([\d.]+) x ([\d.]+) pts/gm)].map(([, w, h]) => [
    Number(w),
    Number(h),
  ]);
}

/** Each font of a PDF with whether it is embedded. */
export function pdfFonts(file: string): { name: string; embedded: boolean; mapped: boolean }[] {
  const [, rule, ...lines] = run('pdffonts', [file]).trimEnd().split('\n');
  // the ruled line under the headings says how wide its columns are
  const ends = [...rule.matchAll(/-+/g)].map((m) => m.index + m[0].length);
  return lines.map((line) => {
    const cells = ends.map((end, i) => line.slice(i === 0 ? 0 : ends[i - 1], end).trim());
    return { name: cells[0], embedded: cells[3] === 'yes', mapped: cells[5] === 'yes' };
  });
}

/** Whether any page's ink comes nearer to an edge of the page than a margin, points. */
export function pdfWordsOutside(file: string, marginPt: number): string[] {
  const boxes = run('pdftotext', ['-bbox', file, '-']);
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
