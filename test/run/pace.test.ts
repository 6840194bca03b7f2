import { expect, it } from 'vitest';
import { Pace } from '../../pipeline/run/pace.ts';

const MINUTE = 60_000;

it('takes per hour leave pauses out, right after one too', () => {
  const pace = new Pace();
  expect(pace.perHour).toBe(0);
  pace.rest(5 * MINUTE);
  pace.begin(10 * MINUTE);
  pace.done(12 * MINUTE);
  expect(pace.perHour).toBeCloseTo(30, 9);
  pace.rest(50 * MINUTE);
  expect(pace.perHour).toBeCloseTo(30, 9);
  pace.done(64 * MINUTE);
  expect(pace.perHour).toBeCloseTo(30, 9);
});
