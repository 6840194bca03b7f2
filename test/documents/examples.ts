import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { parse, stringify } from 'yaml';
import { ROOT } from '../../pipeline/store/installation.mjs';
import { generic, type Key } from './keys.ts';

/** All fenced YAML of a document. */
export function yamlBlocks(text: string): string[] {
  return [...text.matchAll(/```yaml\n([\s\S]*?)```/g)].map(([, yaml]) => yaml);
}

export const filesOf = (folder: string) =>
  readdirSync(join(ROOT, folder))
    .filter((name) => name.endsWith('.yaml'))
    .sort()
    .map((name) => readFileSync(join(ROOT, folder, name), 'utf8'));

/** The shortest value that any of the files gives a key, as it would be written there. */
export function examplesFor(keys: readonly Key[], texts: readonly string[]): Map<string, string> {
  const found = new Map<string, string>();
  const wanted = new Set(keys.map(({ path }) => generic(path)));
  const visit = (value: unknown, path: string): void => {
    if (wanted.has(path)) offer(found, path, value);
    if (Array.isArray(value)) for (const item of value) visit(item, `${path}[]`);
    else if (typeof value === 'object' && value !== null)
      for (const [name, child] of Object.entries(value)) {
        const at = path === '' ? name : `${path}.${name}`;
        const any = `${path}.*`;
        visit(child, isWanted(wanted, at) || !isWanted(wanted, any) ? at : any);
      }
  };
  for (const text of texts) visit(parse(text), '');
  return found;
}

const isWanted = (wanted: ReadonlySet<string>, path: string) =>
  wanted.has(path) || [...wanted].some((w) => w.startsWith(`${path}.`) || w.startsWith(`${path}[`));

const MOST_SHOWN = 70;

function offer(found: Map<string, string>, path: string, value: unknown): void {
  const written = stringify(value, { collectionStyle: 'flow', lineWidth: 0 }).trim();
  const before = found.get(path);
  if (written.length > MOST_SHOWN || written.includes('\n') || written.includes('`')) return;
  if (before === undefined || written.length > before.length) found.set(path, written);
}
