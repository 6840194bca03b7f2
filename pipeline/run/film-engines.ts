/**
 * Films of a take by whichever engine made them. Their keys name it, so a take's pictures hang on one engine's films; where
 * several may serve, those count that are there, and what must be traced is the run's own engine's to trace.
 */
import { FILM, type TakeWork } from '../artefacts/film.ts';
import { ENGINES, type EngineId } from '../tracer/tracer.ts';
import { type Survey, surveyWork } from './survey.ts';
import type { Workplace } from './workplace.ts';

/** The engine that has made a take, first asked of the run's own; undefined if none has. */
export async function madeBy(
  { store, work: { engine } }: Pick<Workplace, 'store' | 'work'>,
  { records }: TakeWork,
): Promise<EngineId | undefined> {
  for (const each of [engine, ...ENGINES.filter((e) => e !== engine)])
    if (await store.has('film', records[each])) return each;
  return undefined;
}

/** Lets takes have the films that are there, where any engine's may serve. */
export async function adoptFilms(
  place: Workplace,
  takes: readonly TakeWork[] = place.work.pieces(FILM),
): Promise<void> {
  const { engines } = place;
  if (!engines) return;
  const changed = new Map<TakeWork, EngineId>();
  for (const work of takes) {
    const engine = (await madeBy(place, work)) ?? place.work.engine;
    if (engine !== work.engine) changed.set(work, engine);
  }
  give(place, engines, changed);
}

/** A survey in which takes have the films that are there. */
export async function surveyAdopted(place: Workplace, only?: TakeWork): Promise<Survey> {
  const record = only?.records[place.work.engine];
  const again = () => {
    const take = only && place.work.pieces(FILM).find(({ records }) => records[place.work.engine] === record);
    return surveyWork(place.work, place.store, place.last, take?.record);
  };
  await adoptFilms(place, only && [only]);
  const survey = await again();
  const { engine } = place.work;
  // what another engine left a record of and films no more
  const lost = survey.takes.filter(({ trace, work }) => trace && work.engine !== engine);
  if (!place.engines || lost.length === 0) return survey;
  give(place, place.engines, new Map(lost.map(({ work }) => [work, engine])));
  return again();
}

function give(
  place: Workplace,
  engines: NonNullable<Workplace['engines']>,
  changed: ReadonlyMap<TakeWork, EngineId>,
): void {
  if (changed.size === 0) return;
  for (const [{ take }, engine] of changed) engines.set(take.id, engine);
  place.work = place.workAt();
}
