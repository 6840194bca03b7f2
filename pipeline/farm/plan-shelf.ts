/**
 * Plans in the shared folder, by hash, with the logos and skies they name: a worker needs neither the config nor the
 * same paths. Layout: <out>/.bandwright/farm/<sha256>.json and <sha256><extension>.
 */
import { readFile } from 'node:fs/promises';
import { extname, join } from 'node:path';
import type { Plan } from '../catalogue/plan.ts';
import { logosOf } from '../catalogue/watermark.ts';
import { sha256 } from '../publish/content-key.ts';
import { writeDurably } from '../publish/durable-file.ts';
import { readOwn } from '../publish/own-file.ts';

const MARK = 'farm-file:';

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
  // papers for clients are the maker's own affair: their names stay out of the shared folder
  const { configFile: _, files: __, proofs: ___, ...rest } = plan;
  const text = JSON.stringify({ ...rest, configFile: '', files: [] }, (_key, value) =>
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
  return JSON.parse(text, (_key, value) =>
    typeof value === 'string' && value.startsWith(MARK) ? join(shelf(out), value.slice(MARK.length)) : value,
  ) as Plan;
}

const shelf = (out: string) => join(out, '.bandwright', 'farm');
