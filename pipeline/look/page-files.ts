import { readFile } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';
import { browserScript } from '../store/browser-script.ts';
import { buildFiles } from '../tracer/built-files.mjs';

/** What the page of the live view is made of. */
export interface PageFiles {
  page: string;
  worker: string;
  style: string;
  kernel: Uint8Array;
}

/** In the order they apply; paper, ink and tables are those of the catalogue's page. */
const STYLES = [
  '../../page/reader/base.css',
  '../../page/reader/facts.css',
  'layout.css',
  'picture.css',
  'notes.css',
  'drawing.css',
  'fields.css',
];

export async function lookFiles(log?: (line: string) => void): Promise<PageFiles> {
  const { kernel } = await buildFiles(undefined, log);
  const styles = STYLES.map((name) =>
    readFile(fileURLToPath(new URL(`./reader/${name}`, import.meta.url)), 'utf8'),
  );
  return {
    page: await browserScript('look/reader/page.ts'),
    worker: await browserScript('look/reader/worker.ts'),
    style: (await Promise.all(styles)).join('').replace(/\/\*[\s\S]*?\*\/\n/g, ''),
    kernel: await readFile(kernel),
  };
}
