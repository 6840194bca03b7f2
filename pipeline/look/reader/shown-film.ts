import { type FilmState, meanFilm } from '../../tracer/film-state.ts';
import type { Film } from '../../tracer/tracer.ts';
import type { CleanFilm, FilmCleaner } from './clean-picture.ts';

/** A film that is shown, and how. */
export interface ShownFilm {
  film: FilmState;
  /** every second pixel has still to be traced */
  half?: boolean;
  cleaner?: FilmCleaner;
  clean?: CleanFilm;
}

/** A film as `make` would store it, and what its pictures show of it. */
export type StoredFilm = Film & { clean?: Float32Array };

export function storedFilm({ film, clean }: ShownFilm, plane: number): StoredFilm {
  const { width, height } = film;
  return { width, height, data: meanFilm(film, plane), clean: clean?.data };
}
