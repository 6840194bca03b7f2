import { readFile } from 'node:fs/promises';
import { setTimeout as pause } from 'node:timers/promises';
import type { BuiltShape } from '../band/built-shape.ts';
import type { TakePlan } from '../catalogue/plan.ts';
import { sha256 } from '../publish/content-key.ts';
import { decodeFilm, encodeFilm } from '../publish/film-file.ts';
import type { ArtefactStore } from '../publish/store.ts';
import { decodeSky, type SkyMap } from '../scene/sky-map.ts';
import { buildTakeScene } from '../scene/take-scene.ts';
import type { TraceScene } from '../scene/trace-scene.ts';
import type { Film, TraceOptions, TraceResult, Tracer } from '../tracer/tracer.ts';
import { TracerLost } from '../tracer/tracer-lost.ts';
import { finishRoughness, gemOptics, subjectColours } from './looks.ts';
import type { TakeWork } from './work.ts';

/** A take is tried this often before it counts as failed. */
export const ATTEMPTS = 3;

/** What is kept of a take beside its films. */
export interface TakeRecord {
  error: number;
  passes: number;
}

/** `map`: the decoded picture of a studio whose sky is one, see `loadSky`. */
export function takeScene(take: TakePlan, shapes: readonly BuiltShape[], map?: SkyMap): TraceScene {
  const subjects = shapes.map((shape, i) => ({
    shape,
    finishes: take.finishes[i].map(finishRoughness),
    gems: take.optics[i].map(gemOptics),
  }));
  return buildTakeScene(
    take.shot,
    subjects,
    take.colourways.map((c) => c.dresses.map(subjectColours)),
    map,
  );
}

/**
 * The picture of a take's sky; undefined for a dome.
 * @throws Error if the file has changed since the plan was made or cannot be decoded
 */
export async function loadSky(take: TakePlan): Promise<SkyMap | undefined> {
  const { sky } = take.shot.studio;
  if (!sky) return undefined;
  const bytes = await readFile(sky.file);
  if (sha256(bytes) !== sky.hash)
    throw new Error(`${sky.file} has changed since the plan was made: run again`);
  return decodeSky(bytes);
}

/** Traces, and tries again when browser or page were lost: that is no fault of the scene. */
export async function traceWithRetries(
  tracer: Tracer,
  scene: TraceScene,
  options: TraceOptions,
  onRetry: (attempt: number, reason: string) => void,
): Promise<TraceResult> {
  for (let attempt = 1; ; attempt++) {
    try {
      return await tracer.trace(scene, options);
    } catch (error) {
      if (!(error instanceof TracerLost) || attempt >= ATTEMPTS) throw error;
      onRetry(attempt + 1, error.message);
      await pause(500 * attempt, undefined, { signal: options.signal });
    }
  }
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

/**
 * Ends a take: stores the films a backend has not handed over before, then the record. That goes last: without it the take
 * does not exist.
 */
export async function storeTake(
  store: ArtefactStore,
  work: TakeWork,
  { error, passes, films, matte }: TraceResult,
): Promise<void> {
  const put = filmsInto(store, work);
  for (const [plane, film] of [...films, ...(matte ? [matte] : [])].entries()) await put(film, plane);
  const record: TakeRecord = { error, passes };
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
