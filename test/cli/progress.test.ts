import { expect, it } from 'vitest';
import type { RunEvent } from '../../pipeline/artefacts/events.ts';
import { textReport } from '../../pipeline/cli/progress.ts';

/** A run of takes that last six minutes each, on a clock that is moved by hand. */
function watch(columns: number) {
  let text = '';
  let ms = 5000;
  const report = textReport({ write: (t) => (text += t), terminal: true, columns }, () => ms);
  const told = (event: RunEvent) => {
    text = '';
    report(event);
    return text;
  };
  const begin = (index: number) =>
    told({
      event: 'take-start',
      take: 'a',
      label: `front of a band with a name of some length ${index}`,
      index,
      total: 3,
      colourways: 2,
      noise: 0.02,
      predictedSeconds: 300,
    });
  const progress = (error: number | null) =>
    told({ event: 'take-progress', take: 'a', passes: 3, open: 1, error, target: 0.02, etaSeconds: 9 });
  const done = () => {
    ms += 6 * 60_000;
    const figures = { passes: 9, paths: 9, error: 0.02, seconds: 360, etaSeconds: 720 };
    return told({ event: 'take-done', take: 'a', ...figures });
  };
  return { begin, progress, done };
}

it('tells takes per hour once there is a rate, where a narrow terminal does not cut it off', () => {
  const { begin, progress, done } = watch(60);
  expect(begin(1)).not.toContain('/h');
  expect(progress(null)).not.toMatch(/\/h|Infinity|NaN|null/);
  expect(done()).toContain('12 min 00 s left  10 takes/h');
  expect(begin(2)).toContain('take 2/3 at 10/h  front');
  expect(progress(0.3)).toContain('take 2/3 at 10/h  front');
});

it('shows a dash for an error that nobody knows yet', () => {
  const { begin, progress } = watch(200);
  begin(1);
  expect(progress(null)).toContain('error – of 2.0 %');
  expect(progress(0.031)).toContain('error 3.1 % of 2.0 %');
});
