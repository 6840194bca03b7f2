import { readdir, rm, stat } from 'node:fs/promises';
import { join } from 'node:path';
import type { CheckTally, HeldItem } from '../papers/run-record.ts';
import type { ArtefactName } from '../store/artefact-store.ts';
import { writeDurably } from '../store/durable-file.ts';
import { readOwn } from '../store/own-file.ts';

/** As of a publication with nothing left out. Hashes are SHA-256. */
export interface StandingCatalogue {
  /** `Workplace.inputs` when it was published */
  inputs: string;
  /** names, lengths and times of all files of the catalogue and its private folder */
  files: string;
  /** lengths and times of all artefacts that it uses */
  artefacts: string;
  items: number;
  /** what a run tells of them */
  tallies: CheckTally[];
  held: HeldItem[];
  warnings: string[];
  /** ms since 1970: when its artefacts were last marked as used */
  usedMs: number;
}

/**
 * What a catalogue folder was made from and what its listings were, kept beside the store: what clearing must spare and
 * verifying compares with.
 */
export interface PublishedRecord {
  version: 1;
  /** everything of the store that the catalogue uses */
  uses: ArtefactName[];
  /** SHA-256 of each listing (catalogue.json, index.html, …); absent while publishing is under way */
  listings?: Record<string, string>;
  /** how it stood when it was published with nothing left out */
  standing?: StandingCatalogue;
}

const folder = (out: string) => join(out, '.bandwright', 'published');

/** Undefined if there is none or it cannot be read. */
export async function readPublished(out: string, catalogue: string): Promise<PublishedRecord | undefined> {
  try {
    const record = JSON.parse(
      String(await readOwn(join(folder(out), `${catalogue}.json`))),
    ) as PublishedRecord;
    return record.version === 1 && Array.isArray(record.uses) ? record : undefined;
  } catch {
    return undefined;
  }
}

export async function writePublished(
  out: string,
  catalogue: string,
  record: Omit<PublishedRecord, 'version'>,
): Promise<void> {
  await writeDurably(
    join(folder(out), `${catalogue}.json`),
    `${JSON.stringify({ version: 1, ...record }, null, 1)}\n`,
  );
}

/**
 * What the catalogues that stand in the output folder use. Records of catalogues whose folders are gone are removed.
 * @returns `untold`: catalogues that no record tells of, so that anything may be in use
 */
export async function artefactsInUse(out: string): Promise<{ used: Set<ArtefactName>; untold: string[] }> {
  const used = new Set<ArtefactName>();
  const untold: string[] = [];
  for (const entry of await readdir(out, { withFileTypes: true }).catch(() => [])) {
    if (!entry.isDirectory() || entry.name.startsWith('.')) continue;
    const record = await readPublished(out, entry.name);
    if (record) for (const name of record.uses) used.add(name);
    else if (await exists(join(out, entry.name, 'catalogue.json'))) untold.push(entry.name);
  }
  for (const file of await readdir(folder(out)).catch(() => []))
    if (!(await exists(join(out, file.replace(/\.json$/, '')))))
      await rm(join(folder(out), file), { force: true });
  return { used, untold };
}

const exists = async (path: string) => (await stat(path).catch(() => undefined)) !== undefined;
