import { FILM, type TakeWork } from '../artefacts/film.ts';
import type { TakePlan } from '../plan/plan.ts';
import type { ArtefactStore } from '../store/artefact-store.ts';
import type { Work } from './work.ts';

/**
 * A run that must end by a clock time. First the noise target of all takes still to be traced is raised by one
 * common step; what does not fit even at the last step is left for another run.
 */

/**
 * Factors on the noise target. Work falls with the square, so the last step takes a quarter of the time; beyond
 * twice the asked-for noise the grain of a 4 % picture shows at full size (common practice: one stop).
 */
export const NOISE_STEPS = [1, 1.19, 1.41, 1.68, 2] as const;

/** One take's content keys under each of NOISE_STEPS, in their order. */
export interface SteppedTake {
  steps: readonly TakeWork[];
  /** seconds of tracing under each step */
  seconds: readonly number[];
  /** the first step under which the store holds it */
  held: number | undefined;
}

/** The lowest step under which what is missing fits into `seconds`; the last if none does. */
export function commonStep(takes: readonly SteppedTake[], seconds: number): number {
  const last = NOISE_STEPS.length - 1;
  for (let step = 0; step < last; step++) {
    const need = takes.reduce((sum, t) => sum + (isHeld(t, step) ? 0 : t.seconds[step]), 0);
    if (need <= seconds) return step;
  }
  return last;
}

/** A picture finer than the step allows is kept as it is. */
function isHeld({ held }: SteppedTake, step: number): boolean {
  return held !== undefined && held <= step;
}

/**
 * The work under a deadline. Films of lowered quality have keys of their own, so that a later run without a
 * deadline finds them missing and traces the full ones.
 * @param plan plans the work with each take's noise target multiplied by a factor
 * @param wanted whether a take counts towards the time
 */
export async function workUntil(
  plan: (factor: (take: TakePlan) => number) => Work,
  store: ArtefactStore,
  predict: (take: TakePlan, noise: number) => number,
  wanted: (take: TakeWork) => boolean,
  seconds: number,
): Promise<{ work: Work; factor: number }> {
  const works = NOISE_STEPS.map((step) => plan(() => step).pieces(FILM));
  const takes: SteppedTake[] = [];
  for (let i = 0; i < works[0].length; i++) {
    const steps = works.map((takes) => takes[i]);
    let held: number | undefined;
    for (let s = 0; s < steps.length && held === undefined; s++)
      if (await store.get('film', steps[s].record)) held = s;
    takes.push({ steps, held, seconds: steps.map((t) => predict(t.take, t.noise)) });
  }
  const step = commonStep(
    takes.filter((t) => wanted(t.steps[0])),
    seconds,
  );
  const factors = new Map(
    takes.map((t) => [t.steps[0].take, NOISE_STEPS[isHeld(t, step) ? (t.held ?? step) : step]]),
  );
  return { work: plan((take) => factors.get(take) ?? 1), factor: NOISE_STEPS[step] };
}

/** `07:00` as the next such time of the clock here; undefined if it is no time of day. */
export function nextClockTime(text: string, now: Date): Date | undefined {
  const [, hours, minutes] = /^([01]?\d|2[0-3]):([0-5]\d)$/.exec(text.trim()) ?? [];
  if (hours === undefined) return undefined;
  const at = new Date(now);
  at.setHours(Number(hours), Number(minutes), 0, 0);
  if (at <= now) at.setDate(at.getDate() + 1);
  return at;
}
