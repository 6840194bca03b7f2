/**
 * Item folders become visible whole. A folder is built in <catalogue>/.bandwright/staging, flushed, and renamed
 * to its place; the folder it replaces is first renamed into .bandwright/retired.
 *
 * Limit: Node has no call that exchanges two folders at once (Linux' renameat2 has, other systems not), and a link in the
 * folder's place would be another thing to copy, pack and serve. So a kill exactly between the two renames leaves the old
 * folder in `retired` and none in place. They follow each other without a turn of the event loop, so the gap is a few
 * microseconds; `recoverFolders`, run first by every run and verification, puts the old folder back.
 */
import { randomBytes } from 'node:crypto';
import { renameSync } from 'node:fs';
import { lstat, mkdir, readdir, rename, rm } from 'node:fs/promises';
import { join } from 'node:path';
import { type Manifest, manifestSchema } from '../facts/catalogue-schema.ts';
import { reached } from '../fault-point.ts';
import { syncFolder, writeSynced } from '../store/durable-file.ts';
import { readOwn } from '../store/own-file.ts';
import { checkOwnFolder, checkOwnTree } from '../store/own-folder.ts';
import { beginUnfinished, endUnfinished } from '../store/unfinished.ts';

export const WORKSPACE = '.bandwright';
export const MANIFEST = 'manifest.json';
/** Folders of a catalogue beside its items'. */
const SHARED = [
  'models',
  'models/bench',
  'models/each',
  'page',
  'swatches',
  'comparison',
  'movies',
  'products',
];

export interface FolderFile {
  /** name within the folder */
  name: string;
  data: () => Promise<Uint8Array>;
}

/** Builds a folder aside and swaps it in. The manifest is written last. */
export async function placeFolder(
  root: string,
  name: string,
  files: readonly FolderFile[],
  manifest: string,
): Promise<void> {
  const staged = join(root, WORKSPACE, 'staging', `${name}~${randomBytes(6).toString('hex')}`);
  const retired = join(root, WORKSPACE, 'retired', name);
  beginUnfinished(staged);
  try {
    await reached('folder.stage');
    await mkdir(staged, { recursive: true });
    for (const file of files) await writeSynced(join(staged, file.name), await file.data());
    await reached('folder.manifest');
    await writeSynced(join(staged, MANIFEST), manifest);
    await syncFolder(staged);
    await mkdir(join(root, WORKSPACE, 'retired'), { recursive: true });
    await rm(retired, { recursive: true, force: true });
    const target = join(root, name);
    const replaces = await exists(target);
    await reached('folder.retire');
    if (replaces) renameSync(target, retired);
    try {
      // nothing is awaited between the two but what a test has armed
      const armed = reached('folder.place');
      if (armed) await armed;
      renameSync(staged, target);
    } catch (error) {
      if (replaces) renameSync(retired, target);
      throw error;
    }
    await reached('folder.placed');
    await syncFolder(root);
    await rm(retired, { recursive: true, force: true });
  } catch (error) {
    await rm(staged, { recursive: true, force: true }).catch(() => {});
    throw error;
  } finally {
    endUnfinished(staged);
  }
}

/**
 * Puts back folders whose replacement never came, and clears what killed runs left.
 * @throws ProblemError (`folder-not-ours`), before anything is touched, if the catalogue's folder or one of Bandwright's own
 *   in it is a link or another user's
 */
export async function recoverFolders(root: string): Promise<void> {
  if (!(await checkOwnFolder(root))) return;
  await checkOwnTree(join(root, WORKSPACE), 1);
  for (const folder of SHARED) await checkOwnFolder(join(root, folder));
  const retired = join(root, WORKSPACE, 'retired');
  for (const name of await entries(retired)) {
    if (await exists(join(root, name))) await rm(join(retired, name), { recursive: true, force: true });
    else await rename(join(retired, name), join(root, name));
  }
  const staging = join(root, WORKSPACE, 'staging');
  for (const name of await entries(staging)) await rm(join(staging, name), { recursive: true, force: true });
}

/** The manifest of an item folder as text and parsed; undefined if the folder is none of ours or half-made. */
export async function readManifest(
  root: string,
  name: string,
): Promise<{ text: string; manifest: Manifest } | undefined> {
  try {
    const text = (await readOwn(join(root, name, MANIFEST))).toString('utf8');
    const parsed = manifestSchema.safeParse(JSON.parse(text));
    return parsed.success && parsed.data.item.sku === name ? { text, manifest: parsed.data } : undefined;
  } catch {
    return undefined;
  }
}

/** Whether every picture and document of a manifest lies there in full length. */
export async function isComplete(root: string, manifest: Manifest): Promise<boolean> {
  const { shots, documents = [] } = manifest.item;
  for (const { file, bytes } of [...shots.flatMap((s) => s.pictures), ...documents]) {
    const found = await lstat(join(root, file)).catch(() => undefined);
    if (!found?.isFile() || found.size !== bytes) return false;
  }
  return true;
}

/** Names of visible folders that carry one of our manifests. */
export async function listItemFolders(root: string): Promise<string[]> {
  const names: string[] = [];
  for (const entry of await readdir(root, { withFileTypes: true }).catch(() => [])) {
    if (entry.isDirectory() && !entry.name.startsWith('.') && (await readManifest(root, entry.name))) {
      names.push(entry.name);
    }
  }
  return names.sort();
}

/** Takes an item off the catalogue: out of sight in one step, then removed. */
export async function removeFolder(root: string, name: string): Promise<void> {
  const aside = join(root, WORKSPACE, 'staging', `${name}~${randomBytes(6).toString('hex')}`);
  await mkdir(join(root, WORKSPACE, 'staging'), { recursive: true });
  await reached('folder.remove');
  await rename(join(root, name), aside);
  await syncFolder(root);
  await rm(aside, { recursive: true, force: true });
}

async function exists(path: string): Promise<boolean> {
  return (await lstat(path).catch(() => undefined)) !== undefined;
}

async function entries(folder: string): Promise<string[]> {
  return readdir(folder).catch(() => []);
}
