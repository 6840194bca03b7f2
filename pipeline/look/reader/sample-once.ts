import type { FilmState } from '../../tracer/film-state.ts';
import type { CardShare } from '../../tracer/gpu/card-share.ts';
import { EVEN_PIXELS, ODD_PIXELS } from '../../tracer/kernel/layout.ts';
import type { Pixels } from '../../tracer/pass-share.ts';
import type { LookCrew } from './crew.ts';

interface Fresh {
  film: FilmState;
  share: CardShare;
}

/** Traces one sample of every pixel of a film that has none, or of every second one. */
export async function sampleOnce(
  crew: LookCrew,
  { film, share }: Fresh,
  seed: number,
  pixels?: Pixels,
): Promise<void> {
  const units = share.deal(film, Array.from(film.samples.keys()), crew.count);
  await crew.pass({ from: 0, middle: 1, to: 1, halfSamples: 0, seed, units, sketch: true, pixels });
  film.samples.fill(1);
}

/**
 * The same in two halves, unless a card has all as soon.
 * @param onHalf told when the first half is there and the second under way, so that nobody waits for what it does
 */
export async function sampleInHalves(
  crew: LookCrew,
  fresh: Fresh,
  seed: number,
  onHalf: () => void,
): Promise<void> {
  if (crew.hasCard) return sampleOnce(crew, fresh, seed);
  await sampleOnce(crew, fresh, seed, EVEN_PIXELS);
  if (fresh.share.stopped) return;
  const rest = sampleOnce(crew, fresh, seed, ODD_PIXELS);
  onHalf();
  await rest;
}
