/**
 * Files beside index.html that the catalogue's page loads as scripts: `page/choices.js` with all items as the grid sees
 * them, `page/items-<n>.js` with the details of items,
 * `page/viewer.js`, and `models/<shape>.glb.js`, each model in base64. Scripts because a page from disk may load
 * scripts but not fetch files.
 */
import { readdir, readFile, rm } from 'node:fs/promises';
import { join } from 'node:path';
import type { Catalogue } from '../facts/catalogue-schema.ts';
import { pageIndex, pageParts } from '../page/page-index.ts';
import { PRODUCT_STYLE } from '../page/product-page.ts';
import { pack } from '../page/reader/packed.ts';
import { CHOICES_SCRIPT, modelScript, SHELF, VIEWER_SCRIPT } from '../page/reader/page-data.ts';
import { browserScript, browserStyle } from '../store/browser-script.ts';
import { type FileReport, writeIfChanged } from '../store/changed-file.ts';
import { sweepTemporary } from '../store/durable-file.ts';
import { jsonForScript } from '../words/html.ts';
import type { CatalogueModel } from './model-files.ts';

export interface PageCode {
  /** goes into index.html */
  script: string;
  style: string;
  /** becomes `page/viewer.js` */
  viewer: string;
}

/** In the order they apply: what screens change comes last. */
const STYLES = ['base', 'filters', 'grid', 'picks', 'look', 'facts', 'beside', 'screens', 'print'];

/** The page's own code. Equal sources give equal bytes. */
export async function pageCode(): Promise<PageCode> {
  const [page, viewer] = await Promise.all([
    browserScript('page/reader/page.ts'),
    browserScript('page/reader/viewer.ts'),
  ]);
  return {
    script: page.replaceAll('</script', '<\\/script'),
    style: browserStyle(STYLES.map((name) => `page/reader/${name}.css`)),
    viewer: `/*! ${THREE_NOTICE} */\n${viewer}`,
  };
}

/** The bundle carries three.js and the meshopt decoder, whose licence asks for its notice in copies. */
const THREE_NOTICE =
  'Contains three.js, © three.js authors, and meshoptimizer, © Arseny Kapoulkine, both under the MIT Licence: https://opensource.org/license/mit';

/** Writes what index.html will ask for; before it, so that a page never asks for what is not there yet. */
export async function publishPageFiles(
  outDir: string,
  catalogue: Catalogue,
  code: PageCode,
  { models, checks }: { models: readonly CatalogueModel[]; checks?: boolean },
  report: FileReport,
): Promise<void> {
  await sweepTemporary(join(outDir, 'page'));
  await writeIfChanged(outDir, CHOICES_SCRIPT, choicesScript(catalogue), report);
  for (const { file, details } of pageParts(catalogue, checks))
    await writeIfChanged(outDir, file, shelved(file, jsonForScript(details)), report);
  if (catalogue.models.length > 0) await writeIfChanged(outDir, VIEWER_SCRIPT, code.viewer, report);
  for (const { file } of catalogue.models) {
    // the page's viewer has no decoder for Draco: a model's copy for it is meshopt's
    const viewer = models.find((m) => m.file === file)?.viewer;
    const copy = viewer ? await viewer() : await viewable(join(outDir, file));
    const base64 = Buffer.from(copy).toString('base64');
    await writeIfChanged(outDir, modelScript(file), shelved(file, `"${base64}"`), report);
  }
}

async function viewable(file: string): Promise<Uint8Array> {
  const { withoutDraco } = await import('../model/glb.ts');
  return withoutDraco(await readFile(file));
}

/** What the page asks for beside index.html. */
export function pageFiles(catalogue: Catalogue): string[] {
  return [
    CHOICES_SCRIPT,
    PRODUCT_STYLE,
    ...pageParts(catalogue).map((p) => p.file),
    ...catalogue.models.map((m) => modelScript(m.file)),
    ...(catalogue.models.length > 0 ? [VIEWER_SCRIPT] : []),
  ];
}

/** Removes the page's files that the catalogue no longer has; after index.html stopped naming them. */
export async function clearPageFiles(outDir: string, catalogue: Catalogue): Promise<void> {
  const used = new Set(pageFiles(catalogue));
  for (const [folder, ours] of [
    ['page', /^(?:(choices|items-\d+|viewer)\.js|product\.css)$/],
    ['models', /\.glb\.js$/],
  ] as const)
    for (const name of await readdir(join(outDir, folder)).catch(() => []))
      if (ours.test(name) && !used.has(`${folder}/${name}`)) await rm(join(outDir, folder, name));
}

/** All items of the grid, as small as they can be. */
export function choicesScript(catalogue: Catalogue): string {
  const { items, messages } = pageIndex(catalogue);
  return shelved(CHOICES_SCRIPT, jsonForScript({ ...pack(items), messages }));
}

function shelved(file: string, json: string): string {
  return `(globalThis.${SHELF}??={})[${JSON.stringify(file)}]=${json};\n`;
}
