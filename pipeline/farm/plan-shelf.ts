/**
 * Plans in the shared folder, by hash, with the logos and skies they name: a worker needs neither the config nor the
 * same paths. Of a plan only what takes and their pictures are made from is laid there: rates, papers for clients,
 * addresses and all else are the maker's own affair. Layout: <out>/.bandwright/farm/<sha256>.json and <sha256><extension>.
 */
import { readFile } from 'node:fs/promises';
import { extname, join } from 'node:path';
import type { Plan } from '../plan/plan.ts';
import { logosOf } from '../plan/watermark.ts';
import { sha256 } from '../store/content-key.ts';
import { writeDurably } from '../store/durable-file.ts';
import { readOwn } from '../store/own-file.ts';

const MARK = 'farm-file:';

/** An allow-list: a part of the plan that comes later stays at home until it is named here. */
const NEEDED = [
  'catalogue',
  'language',
  'shapes',
  'variants',
  'pairs',
  'shots',
  'takes',
  'quality',
  'watermark',
  'credit',
  'images',
  'limits',
  'draft',
] as const satisfies readonly (keyof Plan)[];

/** The rest of a worker's plan: it publishes nothing and makes nothing but takes and their pictures. */
const NOTHING_ELSE: Omit<Plan, (typeof NEEDED)[number]> = {
  title: '',
  workshop: '',
  letterhead: { name: '', address: [] },
  configFile: '',
  files: [],
  axes: [],
  glb: false,
  sheets: false,
  swatches: false,
};

/** @returns the plan's hash */
export async function shelvePlan(plan: Plan, out: string): Promise<string> {
  const skies = plan.takes.flatMap((t) => (t.shot.studio.sky ? [t.shot.studio.sky.file] : []));
  const names = new Map<string, string>();
  for (const file of new Set([...logosOf(plan), ...skies])) {
    const bytes = await readFile(file);
    const name = `${sha256(bytes)}${extname(file)}`;
    await writeDurably(join(shelf(out), name), bytes);
    names.set(file, MARK + name);
  }
  const needed = Object.fromEntries(NEEDED.map((key) => [key, plan[key]]));
  const text = JSON.stringify(needed, (_key, value) =>
    typeof value === 'string' ? (names.get(value) ?? value) : value,
  );
  const hash = sha256(text);
  await writeDurably(join(shelf(out), `${hash}.json`), text);
  return hash;
}

/** undefined if it is not there or not what its hash says. */
export async function takeFromShelf(hash: string, out: string): Promise<Plan | undefined> {
  const text = await readOwn(join(shelf(out), `${hash}.json`)).then(String, () => undefined);
  if (text === undefined || sha256(text) !== hash) return undefined;
  const needed = JSON.parse(text, (_key, value) =>
    typeof value === 'string' && value.startsWith(MARK) ? join(shelf(out), value.slice(MARK.length)) : value,
  );
  return { ...NOTHING_ELSE, ...needed };
}

const shelf = (out: string) => join(out, '.bandwright', 'farm');
