/**
 * What of a catalogue's folder is for everybody, by name: what the catalogue itself lists and nothing else. So whatever else
 * comes to lie there, copied by mistake or linked to, is never handed over.
 */
import { lstat, readdir } from 'node:fs/promises';
import { join } from 'node:path';
import type { Catalogue } from '../facts/catalogue-schema.ts';
import { COMPARISON_PAGE } from './comparison-files.ts';
import { sharedFiles } from './damage.ts';
import { MANIFEST, WORKSPACE } from './item-folder.ts';
import { pageFiles } from './page-files.ts';

/** Those by which everything else is found come last: nobody is sent to what is not there yet. */
const LISTINGS = [
  'swatches/colours.csv',
  'models/bench/READ-ME.txt',
  'catalogue.csv',
  'catalogue.jsonld',
  'feed.csv',
  'shop-import.csv',
  'catalogue.json',
  'changes.json',
  COMPARISON_PAGE,
  'index.html',
  'sitemap.xml',
];

export interface PublicFiles {
  /** paths with forward slashes, in the order of copying */
  files: string[];
  /** what else lies there, which stays */
  others: string[];
}

/** Files that are named and there, and are plain files: a link may lead anywhere. */
export async function publicFiles(folder: string, catalogue: Catalogue): Promise<PublicFiles> {
  const named = new Set([
    ...catalogue.items.flatMap(({ sku, shots, documents = [] }) => [
      ...shots.flatMap((s) => s.pictures.map((p) => p.file)),
      ...documents.map((d) => d.file),
      `${sku}/${MANIFEST}`,
    ]),
    ...sharedFiles(catalogue).map(({ file }) => file),
    ...pageFiles(catalogue),
    ...catalogue.items.map(({ sku }) => `products/${sku}.html`),
    ...LISTINGS,
  ]);
  const there = new Set<string>();
  const others: string[] = [];
  for await (const { path, plain } of walk(folder, '')) {
    if (plain && named.has(path)) there.add(path);
    else others.push(path);
  }
  return { files: [...named].filter((file) => there.has(file)), others: others.sort() };
}

/** Files below, and links, which are not followed; what Bandwright keeps for itself is left out. */
async function* walk(folder: string, below: string): AsyncGenerator<{ path: string; plain: boolean }> {
  for (const entry of await readdir(join(folder, below), { withFileTypes: true })) {
    const path = below === '' ? entry.name : `${below}/${entry.name}`;
    if (path === WORKSPACE) continue;
    if (entry.isDirectory()) yield* walk(folder, path);
    else yield { path, plain: (await lstat(join(folder, path))).isFile() };
  }
}
