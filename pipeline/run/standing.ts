/**
 * Whether a catalogue stands as it was last published from this very plan by this very code, told by looking at the
 * files of catalogue, private folder and store without reading them: names, lengths, times of change. A run that has nothing to
 * do then ends here. Whatever doubt there is (a file touched, a folder copied, an artefact used by another catalogue)
 * sends it the long way, which reads and compares everything. Bytes that change on a disk by themselves are found by
 * `verify`, which hashes all of it.
 */
import { createHash } from 'node:crypto';
import { type BigIntStats, lstatSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import { privateFolder } from '../publish/private-folder.ts';
import type { ArtefactName, ArtefactStore } from '../store/artefact-store.ts';
import { checkTallies } from './check-tally.ts';
import { feedWarnings } from './feed-warnings.ts';
import { heldItems, heldWarning } from './held-back.ts';
import type { Job } from './job.ts';
import { readPublished, type StandingCatalogue, writePublished } from './published-record.ts';
import type { Assembled } from './publishing.ts';
import { placeOf } from './survey.ts';

/** Uses are marked again after so long: clearing removes what was not used for longest. */
const MARK_AGAIN_MS = 24 * 3600 * 1000;

/** The catalogue's standing if nothing at all is to be done for this job. */
export async function unchangedStanding(job: Job): Promise<StandingCatalogue | undefined> {
  const { only, elsewhere, until, out } = job.options;
  if (only || elsewhere || until) return undefined;
  const { store, work } = job.place;
  const record = await readPublished(out, work.plan.catalogue);
  const standing = record?.standing;
  if (!record || !standing || standing.inputs !== job.place.inputs) return undefined;
  if (standing.artefacts !== artefactsHash(store, record.uses)) return undefined;
  if (standing.files !== filesHash(job)) return undefined;
  if (Date.now() - standing.usedMs > MARK_AGAIN_MS) await markUsed(job, record.uses, standing);
  return standing;
}

/** Marks what a catalogue uses and, if nothing was left out of it, records how it stands. */
export async function recordStanding(
  job: Job,
  { items, uses, missing }: Assembled,
  keptOthers: boolean,
): Promise<void> {
  const whole = missing.size === 0 && job.failed.size === 0 && !keptOthers;
  if (!whole || job.options.only || job.options.until) return markUsed(job, uses);
  await markUsed(job, uses, {
    inputs: job.place.inputs,
    files: filesHash(job),
    items: items.length,
    tallies: checkTallies(items),
    held: heldItems(items),
    warnings: [...heldWarning(heldItems(items)), ...feedWarnings(items)],
  });
}

async function markUsed(
  job: Job,
  uses: readonly ArtefactName[],
  standing?: Omit<StandingCatalogue, 'artefacts' | 'usedMs'>,
): Promise<void> {
  const { store, work } = job.place;
  const now = new Date();
  for (const name of uses) await store.touch(...placeOf(name), now);
  const { catalogue } = work.plan;
  const record = standing && (await readPublished(job.options.out, catalogue));
  if (!record) return;
  const artefacts = artefactsHash(store, record.uses);
  await writePublished(job.options.out, catalogue, {
    uses: record.uses,
    listings: record.listings,
    standing: { ...standing, artefacts, usedMs: now.getTime() },
  });
}

function artefactsHash(store: ArtefactStore, uses: readonly ArtefactName[]): string {
  const hash = createHash('sha256');
  for (const name of [...uses].sort()) hash.update(`${name} ${store.mark(...placeOf(name)) ?? 'absent'}\n`);
  return hash.digest('hex');
}

function filesHash({ options: { out }, place: { work } }: Job): string {
  const catalogue = join(out, work.plan.catalogue);
  const hash = createHash('sha256');
  for (const folder of [catalogue, privateFolder(catalogue)])
    for (const line of linesOf(folder, '')) hash.update(`${line}\n`);
  return hash.digest('hex');
}

/** A line for each file and folder below; what Bandwright keeps for itself in a catalogue's folder is left out. */
function* linesOf(root: string, below: string): Generator<string> {
  let names: string[];
  try {
    names = readdirSync(join(root, below)).sort();
  } catch {
    yield `${below} cannot be read`;
    return;
  }
  for (const name of names) {
    const path = join(below, name);
    if (path === '.bandwright') continue;
    const stat = lstatSync(join(root, path), { bigint: true, throwIfNoEntry: false });
    yield `${JSON.stringify(path)} ${stat ? marksOf(stat) : 'absent'}`;
    if (stat?.isDirectory()) yield* linesOf(root, path);
  }
}

/** A folder's own times change with what is written and removed in it; only its kind counts. */
function marksOf(stat: BigIntStats): string {
  if (stat.isDirectory()) return `folder ${stat.mode}`;
  return `${stat.mode} ${stat.ino} ${stat.size} ${stat.mtimeNs} ${stat.ctimeNs}`;
}
