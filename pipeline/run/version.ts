import { readdirSync, readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { join, relative } from 'node:path';
import { ITEM } from '../artefacts/item.ts';
import type { AnyKind } from '../artefacts/kind.ts';
import { KINDS } from '../artefacts/kinds.ts';
import { fileStates } from '../store/built-once.mjs';
import { codeIdentities } from '../store/code-identity.ts';
import { sha256 } from '../store/content-key.ts';
import { BUILT_DIR, RELEASED, ROOT } from '../store/installation.mjs';

export const PIPELINE = join(ROOT, 'pipeline');

/** All that a published catalogue comes from. */
const CATALOGUE: AnyKind = { name: 'catalogue', code: ['run/make.ts', ...ITEM.code], plan: () => [] };

/** What a graphics card adds to the code behind films. */
const CARD: AnyKind = { name: 'card', code: ['tracer/page/card.ts'], plan: () => [] };

/** All whose code has an identity. */
export const CODED: readonly AnyKind[] = [...KINDS, CARD, CATALOGUE];

/**
 * Identity of the code behind each kind of artefact, of `card`, and of `catalogue`, behind all of it: an artefact made by older code
 * can never be taken for one of today's, and nobody has to remember to raise a number.
 */
export async function codeVersions(): Promise<Record<string, string>> {
  loaded ??= RELEASED ? writtenDown() : versionsNow();
  return loaded;
}

/** Found once in a process: it goes on with the code that it loaded, whatever becomes of the files. */
let loaded: Promise<Record<string, string>> | undefined;

/** A release was given the identities of the code that it was made from, packages pinned. */
async function writtenDown(): Promise<Record<string, string>> {
  return JSON.parse(readFileSync(join(BUILT_DIR, 'identities.json'), 'utf8'));
}

async function versionsNow(): Promise<Record<string, string>> {
  const hashes = await rememberedHashes();
  const versions = CODED.map(async ({ name, compiled }) => {
    const binary = await compiled?.();
    const hash = hashes[name];
    return [name, binary ? sha256(`${hash} ${sha256(readFileSync(binary))}`).slice(0, 16) : hash];
  });
  return Object.fromEntries(await Promise.all(versions));
}

async function hashesNow(): Promise<Record<string, string>> {
  const uses = Object.fromEntries(CODED.map(({ name, code }) => [name, code]));
  const identities = Object.entries(await codeIdentities(uses, { root: PIPELINE }));
  return Object.fromEntries(identities.map(([name, { hash }]) => [name, hash]));
}

/** Bundling takes a second of processor time, which commands that do little would spend on nothing else. */
function rememberedHashes(): Promise<Record<string, string>> {
  const inputs = identityInputs();
  return inputs ? remembered(join(BUILT_DIR, 'code-identities.json'), inputs, hashesNow) : hashesNow();
}

/** What `find` finds, or what is kept in a file if it was found from these inputs. Where nothing can be written it is found each time. */
export async function remembered<T>(file: string, inputs: string, find: () => Promise<T>): Promise<T> {
  try {
    const known = JSON.parse(readFileSync(file, 'utf8'));
    if (known.inputs === inputs) return known.found;
  } catch {
    // never found here, or by another version
  }
  const found = await find();
  const whole = `${file}.${process.pid}`;
  try {
    writeFileSync(whole, JSON.stringify({ inputs, found }));
    renameSync(whole, file);
  } catch {
    rmSync(whole, { force: true });
  }
  return found;
}

/** All that identities can hang on: every file of the rooms and the packages as installed; undefined if npm noted none. */
function identityInputs(): string | undefined {
  try {
    const installed = readFileSync(join(ROOT, 'node_modules/.package-lock.json'));
    const files = readdirSync(PIPELINE, { recursive: true, withFileTypes: true })
      .filter((entry) => entry.isFile())
      .map(({ parentPath, name }) => relative(ROOT, join(parentPath, name)))
      .sort();
    return sha256([process.version, sha256(installed), fileStates(files)].join('\n'));
  } catch {
    return undefined;
  }
}
