import { expect, it } from 'vitest';
import { commonStep, NOISE_STEPS, nextClockTime, type SteppedTake } from '../../pipeline/run/deadline.ts';

/** Work falls with the square of noise: variance of a Monte Carlo mean is inverse to its samples (closed form). */
const take = (seconds: number, held?: number): SteppedTake => ({
  steps: [],
  held,
  seconds: NOISE_STEPS.map((f) => seconds / f ** 2),
});

it('lowers no further than the time asks for', () => {
  expect(commonStep([take(60), take(40)], 100)).toBe(0);
  expect(commonStep([take(60), take(40)], 71)).toBe(1);
  expect(commonStep([take(60), take(40)], 51)).toBe(2);
  expect(commonStep([take(60), take(40)], 1)).toBe(NOISE_STEPS.length - 1);
});

it('counts nothing that is held as fine or finer', () => {
  expect(commonStep([take(1000, 0), take(40)], 41)).toBe(0);
  expect(commonStep([take(1000, 2), take(40)], 41)).toBe(2);
});

it('reads the next time of the clock', () => {
  const now = new Date(2026, 2, 1, 22, 30);
  expect(nextClockTime('07:00', now)).toEqual(new Date(2026, 2, 2, 7, 0));
  expect(nextClockTime('23:15', now)).toEqual(new Date(2026, 2, 1, 23, 15));
  for (const bad of ['24:00', '7', '07:60', 'seven']) expect(nextClockTime(bad, now)).toBeUndefined();
});
