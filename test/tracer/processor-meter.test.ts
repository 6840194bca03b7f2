import { expect, it } from 'vitest';
import { type BrowserTimes, ProcessorMeter } from '../../pipeline/tracer/processor-meter.ts';

const use = (processes: [number, number][], workers: number): BrowserTimes => ({
  processes: new Map(processes),
  workers,
});

/** A meter that is shown these one after the other. */
function meter(...shown: BrowserTimes[]) {
  return new ProcessorMeter(7, () => shown.shift()!);
}

it('counts the workers for paths, and what a browser does besides apart', () => {
  // browser and page before, at the first paths, at the end; the page of the take before has gone by then
  const m = meter(
    use(
      [
        [7, 10],
        [8, 99],
      ],
      0,
    ),
    use(
      [
        [7, 10.5],
        [8, 99],
        [9, 1.5],
      ],
      1,
    ),
    use(
      [
        [7, 11],
        [9, 6],
      ],
      5,
    ),
  );
  m.progress(0);
  m.progress(1000);
  m.progress(4000);
  // 4 s of workers between 1,000 and 9,000 paths; 1 + 6 s in all since the beginning, of which 5 were the workers'
  expect(m.use(9000)).toEqual({ perPath: 4 / 8000, setUp: 2 });
});

it('takes all that was used where no workers can be told, and all their time where it was short', () => {
  expect(meter(use([[7, 1]], 0), use([[7, 5]], 0)).use(400)).toEqual({ perPath: 0.01, setUp: 0 });
  const short = meter(use([[7, 1]], 0), use([[7, 1.2]], 0.1), use([[7, 1.5]], 0.2));
  short.progress(50);
  expect(short.use(100)?.perPath).toBeCloseTo(0.002, 9);
});

it('tells nothing of a take that was not alone, or of a browser that is not known', () => {
  const spoilt = meter(use([[7, 1]], 0), use([[7, 5]], 4));
  spoilt.spoil();
  expect(spoilt.use(400)).toBeUndefined();
  expect(new ProcessorMeter(undefined).use(400)).toBeUndefined();
});
