import { readFile } from 'node:fs/promises';
import { browserScript, browserStyle } from '../store/browser-script.ts';
import { buildFiles } from '../tracer/built-files.mjs';

/** What the page of the live view is made of. */
export interface PageFiles {
  page: string;
  worker: string;
  style: string;
  kernel: Uint8Array;
  filter: Uint8Array;
}

/** In the order they apply; paper, ink and tables are those of the catalogue's page. */
const STYLES = [
  'page/reader/base.css',
  'page/reader/facts.css',
  'look/reader/layout.css',
  'look/reader/picture.css',
  'look/reader/notes.css',
  'look/reader/drawing.css',
  'look/reader/fields.css',
  'look/reader/order-desk.css',
];

export async function lookFiles(log?: (line: string) => void): Promise<PageFiles> {
  const { kernel, filter } = await buildFiles(undefined, log);
  return {
    page: await browserScript('look/reader/page.ts'),
    worker: await browserScript('look/reader/worker.ts'),
    style: browserStyle(STYLES),
    kernel: await readFile(kernel),
    filter: await readFile(filter),
  };
}
