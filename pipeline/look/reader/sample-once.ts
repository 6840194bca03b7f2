import type { FilmState } from '../../tracer/film-state.ts';
import type { CardShare } from '../../tracer/gpu/card-share.ts';
import type { Pixels } from '../../tracer/pass-share.ts';
import type { LookCrew } from './crew.ts';

/** Traces one sample of every pixel of a film that has none, or of every second one. */
export async function sampleOnce(
  crew: LookCrew,
  { film, share }: { film: FilmState; share: CardShare },
  seed: number,
  pixels?: Pixels,
): Promise<void> {
  const units = share.deal(film, Array.from(film.samples.keys()), crew.count);
  await crew.pass({ from: 0, middle: 1, to: 1, halfSamples: 0, seed, units, sketch: true, pixels });
  film.samples.fill(1);
}
