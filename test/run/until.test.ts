/** Whole runs with an end: the rule of `run/deadline.ts` as a user meets it. */
import { readdirSync, readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { NOISE_STEPS } from '../../pipeline/run/deadline.ts';
import { recordOf } from '../../pipeline/run/run-log.ts';
import { makeNight, measured, type Night, named, openNight, TINY } from './tiny-night.ts';

let night: Night;
/** files of the catalogue that a run without an end makes */
let undisturbed: Record<string, string>;
beforeAll(async () => {
  // no cap that takes would come to
  night = await openNight(TINY.replace('passes: 8', 'passes: 100000'));
  await makeNight(night, 'undisturbed');
  undisturbed = files('undisturbed');
});
afterAll(() => night.dispose());

const ASKED = 0.04;
/**
 * Tells a folder that its four takes of 16 px and two colourways, each of which adds 3 % to the first, need so many hours
 * of two workers at 4 % noise. Time goes inversely with the square of noise (variance of a Monte Carlo mean, closed form).
 */
const needs = (out: string, hours: number) =>
  measured(join(night.folder, out), (WORKERS * hours * 3600) / (4 * 16 * 16 * 1.03), ASKED);
const WORKERS = 2;
const inHours = (hours: number) => new Date(Date.now() + hours * 3.6e6);

function files(out: string): Record<string, string> {
  const folder = join(night.folder, out, 'tiny');
  return Object.fromEntries(
    readdirSync(folder, { recursive: true, encoding: 'utf8' })
      .sort()
      // which tells how often the folder was published
      .filter((n) => n !== 'changes.json' && statSync(join(folder, n)).isFile())
      .map((n) => [n, readFileSync(join(folder, n)).toString('base64')]),
  );
}

it('lowers all takes by one step, tells so, and the next run without an end makes the full quality', async () => {
  const out = 'lowered';
  needs(out, 4);
  const targets: number[] = [];
  const note = (_: unknown, { noiseTarget }: { noiseTarget: number }) => void targets.push(noiseTarget);
  // four hours' work in two and a half: 4 / 1.19² = 2.8 h is too long, 4 / 1.41² = 2.0 h fits
  const until = inHours(2.5);
  const first = await makeNight(night, out, note, { until, workers: WORKERS });
  expect(NOISE_STEPS[2]).toBe(1.41);
  expect(targets).toEqual(Array(4).fill(ASKED * 1.41));
  expect(named(first.events, 'lowered')).toEqual([
    { event: 'lowered', noise: ASKED * 1.41, asked: ASKED, until: until.toISOString() },
  ]);
  expect(first.result).toMatchObject({ made: 4, left: [] });
  expect(named(first.events, 'left')).toEqual([]);
  const manifest = JSON.parse(Buffer.from(files(out)['T-ISO52-Y18/manifest.json'], 'base64').toString());
  expect(JSON.stringify(manifest)).toContain(String(ASKED * 1.41));

  targets.length = 0;
  const full = await makeNight(night, out, note);
  expect(targets).toEqual(Array(4).fill(ASKED));
  expect(full.result.made).toBe(4);
  expect(files(out)).toEqual(undisturbed);
});

it('lowers nothing when there is time', async () => {
  needs('ample', 4);
  const targets: number[] = [];
  const { result, events } = await makeNight(
    night,
    'ample',
    (_, { noiseTarget }) => void targets.push(noiseTarget),
    { until: inHours(4.5), workers: WORKERS },
  );
  expect(targets).toEqual(Array(4).fill(ASKED));
  expect(named(events, 'lowered')).toEqual([]);
  expect(result.left).toEqual([]);
});

it('begins no take that cannot be done in time, names those, and publishes the rest', async () => {
  // a take needs a quarter of an hour even at twice the noise; five minutes are left
  needs('late', 4);
  let calls = 0;
  const { result, events } = await makeNight(night, 'late', () => void calls++, {
    until: inHours(1 / 12),
    workers: WORKERS,
  });
  expect(calls).toBe(0);
  expect(named(events, 'lowered').map((e) => e.noise)).toEqual([ASKED * 2]);
  expect(result.left).toHaveLength(4);
  expect(result.made).toBe(0);
  expect(new Set(named(events, 'left')[0].takes)).toEqual(new Set(result.left));
  expect([...result.failed.values()][0]).toMatch(/^left for another run/);
});

it('stops in the midst of a take when its time is over, publishes what is whole, and goes on later', async () => {
  const out = 'midst';
  const until = inHours(9);
  let aborted = 0;
  const { result, events } = await makeNight(
    night,
    out,
    async (_, { signal }, call) => {
      // each shape has one take by now; this one goes on until its time is over
      if (call !== 3) return;
      await new Promise<void>((_done, stop) => {
        const end = () => {
          aborted++;
          stop(signal?.reason);
        };
        if (signal?.aborted) end();
        else signal?.addEventListener('abort', end);
      });
    },
    {
      until,
      // in place of waiting nine hours, the end moves up to when the third take begins
      report: (e) => e.event === 'take-start' && e.index === 3 && until.setTime(Date.now() + 30),
    },
  );
  expect(aborted).toBe(1);
  expect(named(events, 'take-start')).toHaveLength(3);
  expect(named(events, 'take-done')).toHaveLength(2);
  expect(named(events, 'take-failed')).toEqual([]);
  expect(result.left).toHaveLength(2);
  expect(named(events, 'left')[0].takes).toEqual(result.left);
  const record = recordOf(events, {
    ...{
      catalogue: 'tiny',
      title: 'Tiny',
      version: '0',
      started: events[0].time,
      ended: Date.now(),
      exit: 3,
    },
    ...{ command: '', rerun: '', machine: [], peakMemory: 1, failed: result.failed },
  });
  expect(record.takes.map((t) => t.end)).toEqual(['made', 'made', 'left']);
  expect(record.left).toEqual(result.left);

  const rest = await makeNight(night, out);
  expect(named(rest.events, 'take-start')).toHaveLength(2);
  expect(rest.result).toMatchObject({ made: 4, left: [] });
  expect(files(out)).toEqual(undisturbed);
});
