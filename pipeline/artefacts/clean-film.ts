/** Films as pictures show them: with grain taken off metal and ground, beside the raw ones, unless a config asks for those. */
import type { ArtefactName, ArtefactStore } from '../store/artefact-store.ts';
import { artefactKey } from '../store/content-key.ts';
import { encodeFilm } from '../tracer/film-file.ts';
import { applyFits, chooseFits } from '../tracer/film-filter.ts';
import { type FilterGuide, guideOf } from '../tracer/film-guide.ts';
import type { Film } from '../tracer/tracer.ts';
import { FILM, skusOfTake, type TakeWork } from './film.ts';
import { loadFilm } from './film-store.ts';
import type { Kind, Planning } from './kind.ts';

export interface CleanFilms {
  take: TakeWork;
  /** content key of each colourway's film */
  films: string[];
}

/** Made when the first picture of a take asks for one of them. */
export const CLEAN_FILM: Kind<CleanFilms> = {
  name: 'clean-film',
  code: ['tracer/film-filter.ts', 'tracer/film-guide.ts', 'tracer/film-file.ts'],
  shared: true,
  plan: (planning) =>
    planning.plan.quality.filter
      ? planning.pieces(FILM).map((take) => ({ take, films: cleanKeys(take, planning) }))
      : [],
  skus: ({ take }) => skusOfTake(take),
  take: ({ take }) => take.record,
  uses: ({ films }) => films.map((key): ArtefactName => `film/${key}`),
  // nothing by itself: what is made from it asks for it
  lacking: async () => false,
};

function cleanKeys({ films }: TakeWork, { versions }: Pick<Planning, 'versions'>): string[] {
  return films.map((film) => artefactKey({ layer: 'film', film, filter: versions['clean-film'] }));
}

/** Content keys of the films that a take's pictures are made from: the raw ones where a config asks for them. */
export function shownKeys(take: TakeWork, planning: Pick<Planning, 'plan' | 'versions'>): string[] {
  return planning.plan.quality.filter ? cleanKeys(take, planning) : take.films;
}

/** What must be in the store for them. */
export const shownFrom = ({ films, guide }: TakeWork): readonly ArtefactName[] =>
  [...films, ...guide].map((key): ArtefactName => `film/${key}`);

/** The film of a colourway that its pictures show; undefined if what it is made from is not in the store. */
export async function loadShown(
  store: ArtefactStore,
  take: TakeWork,
  shown: readonly string[],
  colourway: number,
  signal?: AbortSignal,
): Promise<Film | undefined> {
  const key = shown[colourway];
  const there = await loadFilm(store, key);
  if (there || key === take.films[colourway]) return there;
  const made = underWay.get(key) ?? clean(store, take, shown, signal);
  for (const other of shown) underWay.set(other, made);
  try {
    await made;
  } finally {
    for (const other of shown) underWay.delete(other);
  }
  return loadFilm(store, key);
}

/** Takes that are being filtered, by each of their films: pictures of one take are made side by side. */
const underWay = new Map<string, Promise<void>>();

/** Colourways that are filtered at once: of more, films of 2,000² pixels would hold gigabytes. */
const AT_ONCE = 3;

/** Filters all films of a take and stores them; none if something of it is missing. */
async function clean(
  store: ArtefactStore,
  take: TakeWork,
  shown: readonly string[],
  signal: AbortSignal | undefined,
): Promise<void> {
  const guide = await loadGuide(store, take);
  if (!guide) return;
  const pause = async () => {
    await new Promise(setImmediate);
    signal?.throwIfAborted();
  };
  const choice = await chooseFits(guide, pause);
  for (let from = 0; from < shown.length; from += AT_ONCE) {
    const raw: Film[] = [];
    for (const key of take.films.slice(from, from + AT_ONCE)) {
      const film = await loadFilm(store, key);
      if (!film) return;
      raw.push(film);
    }
    const filtered = await applyFits(
      guide,
      choice,
      raw.map((film) => film.data),
      pause,
    );
    for (const [i, data] of filtered.entries()) {
      const { width, height } = guide;
      await store.put('film', shown[from + i], encodeFilm({ width, height, data }));
    }
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
  const planes: Film[] = [];
  for (const key of guide) {
    const plane = await loadFilm(store, key);
    if (!plane) return undefined;
    planes.push(plane);
  }
  return mean && guideOf(planes, mean);
}
