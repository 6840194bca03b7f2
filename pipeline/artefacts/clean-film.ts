/** Films as pictures show them: with grain taken off metal and ground, beside the raw ones, unless a config asks for those. */

import type { ArtefactName, ArtefactStore } from '../store/artefact-store.ts';
import type { ContentKey } from '../store/content-key.ts';
import { artefactKey } from '../store/content-key.ts';
import { buildFiles } from '../tracer/built-files.mjs';
import { encodeFilm, unpackFilms } from '../tracer/film-file.ts';
import { applyFits, chooseFits } from '../tracer/film-filter.ts';
import { type FilterGuide, guideOf } from '../tracer/film-guide.ts';
import { filterCrew } from '../tracer/filter-threads.ts';
import type { Film } from '../tracer/tracer.ts';
import { FILM, skusOfTake, type TakeWork } from './film.ts';
import { loadFilm } from './film-store.ts';
import type { Kind, Planning } from './kind.ts';

/** Content keys of what a take's pictures show: filtered films, or the raw ones. */
export interface Shown {
  filtered: boolean;
  films: readonly ContentKey[];
  /** of a take on clear ground; filtered as its films are, so that cut-outs take exactly their ground away */
  matte?: ContentKey;
}

interface CleanFilms {
  take: TakeWork;
  shown: Shown;
}

/** Made when the first picture of a take asks for one of them. */
export const CLEAN_FILM: Kind<CleanFilms> = {
  name: 'clean-film',
  code: ['tracer/film-filter.ts', 'tracer/film-guide.ts', 'tracer/film-file.ts'],
  compiled: async () => (await buildFiles()).filter,
  shared: true,
  plan: (planning) => {
    const pieces = planning.pieces(FILM).map((take) => ({ take, shown: shownOf(take, planning) }));
    return pieces.filter(({ shown }) => shown.filtered);
  },
  skus: ({ take }) => skusOfTake(take),
  take: ({ take }) => take.record,
  uses: ({ shown }) => planesOf(shown).map((key): ArtefactName => `film/${key}`),
  // nothing by itself: what is made from it asks for it
  lacking: async () => false,
};

export function shownOf(
  { films, matte }: TakeWork,
  { plan, versions }: Pick<Planning, 'plan' | 'versions'>,
): Shown {
  const { filter } = plan.quality;
  const key = (film: ContentKey) =>
    filter ? artefactKey({ layer: 'film', film, filter: versions['clean-film'] }) : film;
  return { filtered: filter, films: films.map(key), ...(matte ? { matte: key(matte) } : {}) };
}

const planesOf = ({ films, matte }: Pick<Shown, 'films' | 'matte'>): readonly ContentKey[] =>
  matte ? [...films, matte] : films;

/** What must be in the store for the film of a colourway: filters look at all of them. */
export const shownFrom = (
  { films, guide }: TakeWork,
  { filtered }: Shown,
  colourway: number,
): readonly ArtefactName[] =>
  (filtered ? [...films, guide] : [films[colourway]]).map((key): ArtefactName => `film/${key}`);

/** A plane that pictures of a take show, by its key; undefined if what it is made from is not in the store. */
export async function loadShown(
  store: ArtefactStore,
  take: TakeWork,
  shown: Shown,
  key: ContentKey,
  signal?: AbortSignal,
): Promise<Film | undefined> {
  const there = await loadFilm(store, key);
  if (there || !shown.filtered) return there;
  const planes = planesOf(shown);
  const made = underWay.get(key) ?? clean(store, take, planes, signal);
  for (const plane of planes) underWay.set(plane, made);
  try {
    await made;
  } finally {
    for (const plane of planes) underWay.delete(plane);
  }
  return loadFilm(store, key);
}

/** Takes that are being filtered, by each of their films: pictures of one take are made side by side. */
const underWay = new Map<string, Promise<void>>();

/** Colourways that are filtered at once: of more, films of 2,000² pixels would hold gigabytes. The filter counts in fours. */
const AT_ONCE = 4;

/** Filters all films of a take and stores them; none if something of it is missing. */
async function clean(
  store: ArtefactStore,
  take: TakeWork,
  planes: readonly ContentKey[],
  signal: AbortSignal | undefined,
): Promise<void> {
  const guide = await loadGuide(store, take);
  if (!guide) return;
  const pause = async () => {
    await new Promise(setImmediate);
    signal?.throwIfAborted();
  };
  const crew = await filterCrew(guide.width * guide.height, planes.length, pause);
  try {
    const choice = await chooseFits(guide, crew.hands);
    for (let from = 0; from < planes.length; from += AT_ONCE) {
      const raw: Float32Array[] = [];
      for (const key of planesOf(take).slice(from, from + AT_ONCE)) {
        const film = await loadFilm(store, key);
        if (!film) return;
        raw.push(film.data);
      }
      const { width, height } = guide;
      const cleaned = await applyFits(guide, crew.hands, choice, raw, take.films.length - from);
      for (const [i, data] of cleaned.entries()) {
        await store.put('film', planes[from + i], encodeFilm({ width, height, data }));
      }
    }
  } finally {
    await crew.close();
  }
}

async function loadGuide(store: ArtefactStore, { films, guide }: TakeWork): Promise<FilterGuide | undefined> {
  let mean: Float32Array | undefined;
  for (const key of films) {
    const film = await loadFilm(store, key);
    if (!film) return undefined;
    mean ??= new Float32Array(film.data.length);
    for (let i = 0; i < mean.length; i++) mean[i] += film.data[i] / films.length;
  }
  const bytes = await store.get('film', guide);
  return mean && bytes && guideOf(unpackFilms(bytes), mean);
}
