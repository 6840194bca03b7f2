/** A take's films and record in the store. */

import { readFile } from 'node:fs/promises';
import type { TakePlan } from '../plan/plan.ts';
import { decodeSky, type SkyMap } from '../scene/sky-map.ts';
import type { SubjectFrame } from '../scene/subject-frame.ts';
import type { ArtefactStore } from '../store/artefact-store.ts';
import type { ContentKey } from '../store/content-key.ts';
import { sha256 } from '../store/content-key.ts';
import { decodeFilm } from '../tracer/film-file.ts';
import type { Film, TracedBy } from '../tracer/tracer.ts';
import type { Records } from './records.ts';

/** What is kept of a take beside its films. */
export interface TakeRecord {
  error: number;
  passes: number;
  /** width of the frame at the camera's aim, mm; records of older runs lack it */
  frameMm?: number;
  /** where the subject stands in the frame; records of older runs lack it */
  subject?: SubjectFrame;
  /** who has traced it; the cores unless said, where they were asked to */
  by?: TracedBy;
}

/** A film as stored: pictures are always made from this, whether it was traced now or last week. */
export async function loadFilm(store: ArtefactStore, key: ContentKey): Promise<Film | undefined> {
  const bytes = await store.get('film', key);
  return bytes && decodeFilm(bytes);
}

export function loadRecord(records: Records, key: ContentKey): Promise<TakeRecord | undefined> {
  return records.get('film', key, (bytes) => JSON.parse(Buffer.from(bytes).toString('utf8')) as TakeRecord);
}

/** A file the plan names is not what it was when the plan was made. No fault of the take. */
export class SourceChanged extends Error {}

/**
 * The picture of a take's sky; undefined for a dome.
 * @throws SourceChanged if the file has changed since the plan was made or is gone
 */
export async function loadSky(take: TakePlan): Promise<SkyMap | undefined> {
  const { sky } = take.shot.studio;
  if (!sky) return undefined;
  const bytes = await readFile(sky.file).catch(() => undefined);
  if (!bytes || sha256(bytes) !== sky.hash)
    throw new SourceChanged(`${sky.file} has changed since the plan was made: run again`);
  return decodeSky(bytes);
}
