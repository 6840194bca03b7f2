import { readFile } from 'node:fs/promises';
import type { BuiltShape } from '../band/built-shape.ts';
import { BORE_FINISH, finishSurface, gemOptics, subjectColours } from '../facts/looks.ts';
import type { TakePlan } from '../plan/plan.ts';
import { decodeSky, type SkyMap } from '../scene/sky-map.ts';
import type { SubjectFrame } from '../scene/subject-frame.ts';
import { buildTakeScene } from '../scene/take-scene.ts';
import type { TraceScene } from '../scene/trace-scene.ts';
import type { ArtefactStore } from '../store/artefact-store.ts';
import { sha256 } from '../store/content-key.ts';
import { decodeFilm, encodeFilm } from '../tracer/film-file.ts';
import type { Film, TraceOptions, TraceResult } from '../tracer/tracer.ts';
import type { TakeWork } from './work.ts';

/** What is kept of a take beside its films. */
export interface TakeRecord {
  error: number;
  passes: number;
  /** width of the frame at the camera's aim, mm; records of older runs lack it */
  frameMm?: number;
  /** where the subject stands in the frame; records of older runs lack it */
  subject?: SubjectFrame;
}

/** `map`: the decoded picture of a studio whose sky is one, see `loadSky`. */
export function takeScene(take: TakePlan, shapes: readonly BuiltShape[], map?: SkyMap): TraceScene {
  const subjects = shapes.map((shape, i) => ({
    shape,
    finishes: take.finishes[i].map(finishSurface),
    bore: finishSurface(BORE_FINISH),
    gems: take.optics[i].map(gemOptics),
  }));
  return buildTakeScene(
    take.shot,
    subjects,
    take.colourways.map((c) => c.dresses.map(subjectColours)),
    map,
  );
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

/** Width of what the frame shows at the depth of the camera's aim, mm: the scale of the picture. */
export function frameWidth({ camera: { eye, target, fovY }, width, height }: TraceScene): number {
  const distance = Math.hypot(...eye.map((v, i) => v - target[i]));
  return (2 * distance * Math.tan(fovY / 2) * width) / height;
}

/** Stores each film of a take as it comes, so that none is held longer than that. */
export function filmsInto(
  store: ArtefactStore,
  { films, matte }: TakeWork,
): NonNullable<TraceOptions['onFilm']> {
  return async (film, plane) => {
    const key = films[plane] ?? matte;
    if (key) await store.put('film', key, encodeFilm(film));
  };
}

/** Stores a take's record. It goes last: without it the take does not exist. */
export async function storeRecord(
  store: ArtefactStore,
  work: TakeWork,
  { error, passes }: TraceResult,
  place: Pick<TakeRecord, 'frameMm' | 'subject'>,
): Promise<void> {
  const record: TakeRecord = { error, passes, ...place };
  await store.put('film', work.record, Buffer.from(JSON.stringify(record)));
}

/** A film as stored: pictures are always made from this, whether it was traced now or last week. */
export async function loadFilm(store: ArtefactStore, key: string): Promise<Film | undefined> {
  const bytes = await store.get('film', key);
  return bytes && decodeFilm(bytes);
}

export async function loadRecord(store: ArtefactStore, key: string): Promise<TakeRecord | undefined> {
  const bytes = await store.get('film', key);
  return bytes && (JSON.parse(Buffer.from(bytes).toString('utf8')) as TakeRecord);
}
