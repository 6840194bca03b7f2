/** Forecasts against tracers whose law is known: samples = variance / noise² (closed form), seconds = paths × cost. */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterAll, describe, expect, it } from 'vitest';
import type { ShotName, TakePlan } from '../../pipeline/plan/plan.ts';
import { Costs } from '../../pipeline/run/cost.ts';
import { firstGuess } from '../../pipeline/run/first-guesses.ts';
import { askedBy, colourwayFactor, demandOf, traitsOf, work } from '../../pipeline/run/take-work.ts';
import { nextBlock } from '../../pipeline/tracer/pass.ts';
import { MIN_SAMPLES } from '../../pipeline/tracer/stop-rule.ts';

const folder = mkdtempSync(join(tmpdir(), 'bandwright-cost-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

interface Kind {
  view?: ShotName;
  ground?: 'white' | 'clear' | 'sweep' | 'gloss';
  stones?: boolean;
  side?: number;
  colourways?: number;
}

function take({
  view = 'three-quarter',
  ground = 'white',
  stones = true,
  side = 200,
  colourways = 1,
}: Kind = {}) {
  return {
    shot: { view, ground: { kind: ground }, widthPx: side, heightPx: side },
    shapes: [],
    optics: [stones ? ['diamond'] : []],
    colourways: Array.from({ length: colourways }, () => ({})),
  } as unknown as TakePlan;
}

let tables = 0;
const costsWith = (passCap: number, engine = 'one', file = join(folder, `${++tables}.json`)) =>
  new Costs(file, { passCap, engine, workers: 2 });

/** A machine and scenes that differ from the first guesses: paths 3 times as dear, samples that vary 1.7 times as much. */
const MACHINE = 3;
const SCENE = 1.7;

/** What a tracer that follows the law would report: each of many tiles stops at the first block that is enough. */
function traced(one: TakePlan, noise: number, passCap: number, busy = 1, scene = SCENE) {
  const { shares } = firstGuess(traitsOf(one));
  let samples = 0;
  let seconds = 0;
  let passes = 0;
  for (const [i, { variance, perPath }] of shares.entries()) {
    // tiles lie between the variances that the law names
    const step = Math.max((shares[i + 1]?.variance ?? variance) / Math.max(variance, 1e-9), 1);
    for (let k = 0; k < 20; k++) {
      const need = Math.max(MIN_SAMPLES, (scene * variance * step ** ((k - 9.5) / 20)) / noise ** 2);
      let done = 0;
      while (done < need && done < passCap) done = nextBlock(done, passCap).to;
      samples += done / shares.length / 20;
      seconds += (done * perPath) / shares.length / 20;
      passes = Math.max(passes, done);
    }
  }
  const perPath = (MACHINE * busy * seconds * colourwayFactor(one.colourways.length)) / samples;
  const paths = one.shot.widthPx * one.shot.heightPx * samples;
  return { paths, passes, seconds: 99 * paths * perPath, processor: { perPath, setUp: 0.7 } };
}

const realSeconds = (one: TakePlan, noise: number, passCap: number, scene = SCENE) => {
  const { paths, processor } = traced(one, noise, passCap, 1, scene);
  return paths * processor.perPath;
};

describe('after one take', () => {
  const CAP = 4000;
  const costs = costsWith(CAP);
  costs.record(take(), 0.04, traced(take(), 0.04, CAP));

  it.each([
    ['another noise', {}, 0.02],
    ['coarse', {}, 0.08],
    ['another size', { side: 700 }, 0.04],
    ['colourways', { colourways: 12 }, 0.04],
  ] as [string, Kind, number][])('foretells %s within a tenth', (_, kind, noise) => {
    const one = take(kind);
    const { tracing, setUp } = costs.processor(one, noise);
    expect(tracing / realSeconds(one, noise, CAP)).toBeGreaterThan(0.9);
    expect(tracing / realSeconds(one, noise, CAP)).toBeLessThan(1.1);
    expect(setUp).toBe(0.7);
    // by the clock two workers share all but the beginning
    expect(costs.predict(one, noise)).toBeCloseTo(0.7 + tracing / 2, 9);
  });

  it.each([
    ['view', { view: 'flat-lay' }, 0.03],
    ['view and ground', { view: 'macro', ground: 'gloss' }, 0.04],
    ['view, without stones', { view: 'inside', stones: false }, 0.03],
  ] as [string, Kind, number][])(
    'another %s within 35 percent, as noisy as the first or as guessed',
    (_, kind, noise) => {
      const one = take(kind);
      for (const scene of kind.stones === false ? [1] : [1, SCENE]) {
        const ratio = costs.processor(one, noise).tracing / realSeconds(one, noise, CAP, scene);
        expect(Math.max(ratio, 1 / ratio)).toBeLessThan(1.35);
      }
    },
  );
});

it('one busy moment among takes moves nothing, and a machine that has changed is followed', () => {
  const costs = costsWith(4000);
  const one = take({ view: 'front' });
  const real = realSeconds(one, 0.03, 4000);
  for (const busy of [1.02, 0.97, 40, 1, 1.03]) costs.record(one, 0.03, traced(one, 0.03, 4000, busy));
  expect(Math.abs(costs.processor(one, 0.03).tracing / real - 1)).toBeLessThan(0.05);
  for (let i = 0; i < 6; i++) costs.record(one, 0.03, traced(one, 0.03, 4000, 2));
  expect(costs.processor(one, 0.03).tracing / real).toBeCloseTo(2, 0);
});

describe('takes whose tiles all had the least number of samples', () => {
  const CAP = 4000;
  const idle = (scene: number) => traced(take(), 1, CAP, 1, scene);

  it('leave the first guess as it was, of their own kind and of others', () => {
    const [taught, fresh] = [costsWith(CAP), costsWith(CAP)];
    expect(idle(SCENE).paths).toBeCloseTo(MIN_SAMPLES * 200 * 200, 3);
    taught.record(take(), 1, idle(SCENE));
    for (const one of [take(), take({ view: 'macro' }), take({ stones: false })])
      expect(taught.processor(one, 0.02).samples).toBe(fresh.processor(one, 0.02).samples);
    // what a path costs here they do tell
    expect(taught.processor(take(), 0.02).tracing / fresh.processor(take(), 0.02).tracing).toBeCloseTo(
      MACHINE,
      1,
    );
  });

  it('say that the scene asks for no more than would have shown', () => {
    const one = take({ view: 'macro' });
    const costs = costsWith(CAP);
    // a tenth of the guessed variances, of which the noisiest tiles would have had more samples
    costs.record(one, 0.03, traced(one, 0.03, CAP, 1, 0.01));
    const told = costs.processor(one, 0.01).samples;
    expect(told).toBeLessThan(0.6 * costsWith(CAP).processor(one, 0.01).samples);
    expect(told).toBeGreaterThan(traced(one, 0.01, CAP, 1, 0.01).paths / 200 ** 2);
  });
});

describe('the pass cap', () => {
  it('bounds a forecast whatever the noise target', () => {
    const costs = costsWith(400);
    const one = take({ view: 'macro' });
    costs.record(one, 0.01, traced(one, 0.01, 400));
    const { paths, processor } = traced(one, 1e-6, 400);
    expect(paths).toBe(400 * 200 * 200);
    expect(costs.processor(one, 1e-6).tracing / (paths * processor.perPath)).toBeCloseTo(1, 3);
  });

  it('of takes it stopped is known what a path costs, and that they ask for at least so many', async () => {
    const file = join(folder, 'capped.json');
    const one = take({ view: 'macro' });
    const stopped = traced(one, 0.001, 48);
    const capped = costsWith(48, 'one', file);
    capped.record(one, 0.001, stopped);
    const real = stopped.paths * stopped.processor.perPath;
    expect(capped.processor(one, 0.001).tracing / real).toBeCloseTo(1, 2);
    // of how noisy a scene is one that came to its end says more, and takes that were stopped make it no quieter
    for (let i = 0; i < 3; i++) capped.record(one, 0.001, stopped);
    await capped.save();
    const free = costsWith(4000, 'one', file);
    free.record(one, 0.04, traced(one, 0.04, 4000));
    const ratio = free.processor(one, 0.02).tracing / realSeconds(one, 0.02, 4000);
    // tiles that close at the least they are given say no more of how noisy they are
    expect(Math.abs(ratio - 1)).toBeLessThan(0.15);
  });
});

it('an engine has costs of its own, but what a scene asks for is known to all; a new one begins with those of the last', async () => {
  const file = join(folder, 'engines.json');
  const first = costsWith(4000, 'one', file);
  const one = take();
  first.record(one, 0.04, traced(one, 0.04, 4000));
  await first.save();
  const told = first.processor(one, 0.04).tracing;
  const second = costsWith(4000, 'two', file);
  expect(second.processor(one, 0.04).tracing).toBeCloseTo(told, 9);
  second.record(one, 0.04, traced(one, 0.04, 4000, 1 / 50));
  expect(second.processor(one, 0.04).tracing).toBeCloseTo(told / 50, 9);
  await second.save();
  expect(costsWith(4000, 'one', file).processor(one, 0.04).tracing).toBeCloseTo(told, 9);
});

it('a take without a sample for each pixel teaches nothing', () => {
  const costs = costsWith(400);
  costs.record(take(), 0.03, { paths: 1, passes: 16, seconds: 1e6 });
  expect(costs.measured).toBe(false);
});

it('demand is the inverse of samples, as far as neither floor nor cap hides it', () => {
  const law = firstGuess(traitsOf(take()));
  fc.assert(
    fc.property(
      fc.double({ min: 0.2, max: 5, noNaN: true }),
      fc.double({ min: 0.01, max: 0.04, noNaN: true }),
      (demand, noise) => {
        const { samples } = askedBy(law, demand, noise, 5000);
        expect(askedBy(law, demandOf(law, samples, noise, 5000), noise, 5000).samples / samples).toBeCloseTo(
          1,
          1,
        );
      },
    ),
  );
});

it('the work of a take grows with pixels, colourways and quality, and is the same on all machines', () => {
  expect(work(take({ side: 400 }), 0.03, 400) / work(take(), 0.03, 400)).toBeCloseTo(4, 9);
  expect(work(take({ colourways: 11 }), 0.03, 400) / work(take(), 0.03, 400)).toBeCloseTo(1.3, 9);
  expect(work(take(), 0.02, 4000)).toBeGreaterThan(work(take(), 0.03, 4000));
  expect(work(take(), 1e-5, 400)).toBe(work(take(), 1e-6, 400));
});
