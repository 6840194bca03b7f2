import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { ITEM } from '../artefacts/item.ts';
import type { AnyKind } from '../artefacts/kind.ts';
import { KINDS } from '../artefacts/kinds.ts';
import { codeIdentity } from '../store/code-identity.ts';
import { sha256 } from '../store/content-key.ts';
import { BUILT_DIR, RELEASED, ROOT } from '../store/installation.mjs';

export const PIPELINE = join(ROOT, 'pipeline');

/** All that a published catalogue comes from. */
const CATALOGUE: AnyKind = { name: 'catalogue', code: ['run/make.ts', ...ITEM.code], plan: () => [] };

/** What a graphics card adds to the code behind films. */
const CARD: AnyKind = { name: 'card', code: ['tracer/page/card.ts'], plan: () => [] };

/**
 * Identity of the code behind each kind of artefact, of `card`, and of `catalogue`, behind all of it: an artefact made by older code
 * can never be taken for one of today's, and nobody has to remember to raise a number.
 * @param read text of a file instead of what is on disk
 * @param only these identities, with `read`
 */
export async function codeVersions(
  read?: (file: string) => string | undefined,
  only?: readonly string[],
): Promise<Record<string, string>> {
  if (read) return versionsOf(read, only);
  loaded ??= RELEASED ? writtenDown() : versionsOf();
  return loaded;
}

/** Found once in a process: it goes on with the code that it loaded, whatever becomes of the files. */
let loaded: Promise<Record<string, string>> | undefined;

/** A release was given the identities of the code that it was made from, packages pinned. */
async function writtenDown(): Promise<Record<string, string>> {
  return JSON.parse(readFileSync(join(BUILT_DIR, 'identities.json'), 'utf8'));
}

async function versionsOf(
  read?: (file: string) => string | undefined,
  only?: readonly string[],
): Promise<Record<string, string>> {
  const wanted = [...KINDS, CARD, CATALOGUE].filter(({ name }) => only?.includes(name) ?? true);
  const identities = wanted.map(async ({ name, code, compiled }) => {
    const { hash } = await codeIdentity(code, { root: PIPELINE, read });
    const binary = await compiled?.();
    return [name, binary ? sha256(`${hash} ${sha256(readFileSync(binary))}`).slice(0, 16) : hash];
  });
  return Object.fromEntries(await Promise.all(identities));
}
