/** Traces one take and stores what comes of it. */
import type { BuiltShape } from '../band/built-shape.ts';
import { reached } from '../fault-point.ts';
import type { Plan } from '../plan/plan.ts';
import type { SkyMap } from '../scene/sky-map.ts';
import { subjectFrame } from '../scene/subject-frame.ts';
import type { ArtefactStore } from '../store/artefact-store.ts';
import { encodeFilm, packFilms } from '../tracer/film-file.ts';
import { GUIDE_PLANES } from '../tracer/film-guide.ts';
import type { EngineId, TraceOptions, TraceResult, Tracer } from '../tracer/tracer.ts';
import type { TakeWork } from './film.ts';
import { frameWidth, takeScene } from './film-scene.ts';
import type { TakeRecord } from './film-store.ts';
import { type RetryOptions, withRetries } from './retries.ts';
import { takeCheckpoints } from './take-checkpoints.ts';

export interface TakeMaking extends RetryOptions, Pick<TraceOptions, 'onProgress'> {
  plan: Pick<Plan, 'quality'>;
  store: ArtefactStore;
  /** that the films' keys name */
  engine: EngineId;
  tracer(): Promise<Tracer>;
  /** folder of takes that were interrupted */
  checkpoints: string;
}

/** @throws as `withRetries` does; what was done until then is kept for the next try */
export async function traceWork(
  work: TakeWork,
  shapes: readonly BuiltShape[],
  sky: SkyMap | undefined,
  making: TakeMaking,
): Promise<TraceResult> {
  const { store, plan, signal, onProgress } = making;
  const { shot } = work.take;
  const scene = takeScene(shot, work.looks, shapes, sky);
  const { seed, passCap } = plan.quality;
  const checkpoints = takeCheckpoints(making.checkpoints, work.record);
  const onFilm = filmsInto(store, work);
  const options = {
    seed,
    passCap,
    noiseTarget: work.noise,
    signal,
    onProgress,
    checkpoints,
    onFilm,
    guide: true,
    filtered: plan.quality.filter,
  };
  const result = await withRetries(async (relief) => {
    const tracer = await making.tracer();
    // films of one engine don't stand under the keys of another, but for takes that a card has left to the cores: their
    // record says so
    if (tracer.engine !== undefined && tracer.engine !== making.engine)
      throw new RangeError(`expected the engine ${making.engine} but received ${tracer.engine}`);
    return tracer.trace(scene, { ...options, relief });
  }, making);
  await reached('run.traced');
  const { error, passes, by } = result;
  const place = { frameMm: frameWidth(scene), subject: subjectFrame(shot, shapes) };
  const record: TakeRecord = { error, passes, ...(by?.instead && { by }), ...place };
  // it goes last: without it the take does not exist
  await store.put('film', work.record, Buffer.from(JSON.stringify(record)));
  await checkpoints.discard();
  return result;
}

/** Stores each film of a take as it comes, so that none is held longer than that. */
function filmsInto(
  store: ArtefactStore,
  { films, matte, guide }: TakeWork,
): NonNullable<TraceOptions['onFilm']> {
  const keys = matte ? [...films, matte] : films;
  const guides: Uint8Array[] = [];
  return async (film, plane) => {
    if (plane < keys.length) return store.put('film', keys[plane], encodeFilm(film));
    const i = plane - keys.length;
    guides[i] = encodeFilm(film);
    if (i === GUIDE_PLANES - 1) await store.put('film', guide, packFilms(guides));
  };
}
