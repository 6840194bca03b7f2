import { type FilmState, meanFilm } from '../../tracer/film-state.ts';
import type { Film } from '../../tracer/tracer.ts';
import type { CleanFilm, FilmCleaner } from './clean-picture.ts';
import { fillBetween } from './half-picture.ts';
import { paint } from './paint.ts';

/** A film that is shown, and how. */
export interface ShownFilm {
  film: FilmState;
  /** every second pixel has still to be traced */
  half?: boolean;
  cleaner?: FilmCleaner;
  clean?: CleanFilm;
}

export function paintShown(canvas: HTMLCanvasElement, { film, half, clean }: ShownFilm, plane: number): void {
  const { width, height } = film;
  const data = clean?.data ?? meanFilm(film, plane);
  if (half) fillBetween(data, width, height);
  paint(canvas, { width, height, data });
}

/** A film as `make` would store it, and what its pictures show of it. */
export type StoredFilm = Film & { clean?: Float32Array };

export function storedFilm({ film, clean }: ShownFilm, plane: number): StoredFilm {
  const { width, height } = film;
  return { width, height, data: meanFilm(film, plane), clean: clean?.data };
}
