/**
 * Works are followed to their ends on a card that is played: its slots take runs by steps and are done with each after some
 * steps more, as shader/steps.ts has it, and every submission comes back when the next has been sent.
 */
import fc from 'fast-check';
import { afterEach, expect, it, vi } from 'vitest';
import type { Gpu } from '../../pipeline/tracer/gpu/device.ts';
import { PathRun, type Work } from '../../pipeline/tracer/gpu/path-run.ts';
import type { PathPrograms, Slots } from '../../pipeline/tracer/gpu/paths.ts';
import { PORTIONS } from '../../pipeline/tracer/gpu/shader/film.ts';

vi.stubGlobal('GPUBufferUsage', {});
vi.stubGlobal('GPUMapMode', {});
afterEach(() => vi.useRealTimers());

interface Played {
  slots: number;
  /** steps that a run lasts, and ms of one */
  lasts: number;
  stepMs: number;
}

/** A card of which only counts are there. */
function playedCard({ slots, lasts, stepMs }: Played) {
  /** by their portions, jobs that have begun: runs of those before, and their own */
  const jobs = Array.from({ length: PORTIONS }, () => ({ before: 0, runs: 0 }));
  const counts = new Uint32Array(1 + PORTIONS);
  let begun = 0;
  let ends: { at: number; portion: number }[] = [];
  let now = 0;
  let steps = 0;

  function step() {
    now++;
    for (const { portion } of ends.filter(({ at }) => at <= now)) counts[1 + portion]++;
    ends = ends.filter(({ at }) => at > now);
    for (; ends.length < slots && counts[0] < begun; counts[0]++) {
      const portion = jobs.findIndex(({ before, runs }) => counts[0] >= before && counts[0] < before + runs);
      ends.push({ at: now + lasts, portion });
    }
  }

  const device = {
    createBuffer: () => {
      const bytes = new Uint32Array(1 + PORTIONS);
      return {
        bytes,
        mapAsync: () => vi.advanceTimersByTimeAsync(steps * stepMs),
        getMappedRange: () => bytes.buffer,
        unmap() {},
        destroy() {},
      };
    },
    createCommandEncoder: () => {
      let dispatched = 0;
      let stage: { bytes: Uint32Array } | undefined;
      const compute = {
        setPipeline() {},
        setBindGroup() {},
        end() {},
        dispatchWorkgroups: () => dispatched++,
      };
      return {
        beginComputePass: () => compute,
        clearBuffer: () => counts.fill(0),
        copyBufferToBuffer: (_: unknown, __: number, into: typeof stage) => {
          stage = into;
        },
        finish: () => () => {
          if (!stage) return;
          if (dispatched === 0) throw new Error('a submission without a step');
          // vertex and rays, there being no stones
          steps = dispatched / 2;
          for (let i = 0; i < steps; i++) step();
          stage.bytes.set(counts);
        },
      };
    },
    queue: {
      submit: (all: (() => void)[]) => {
        for (const one of all) one();
      },
      writeBuffer: (_: unknown, at: number, words: Uint32Array) => counts.set(words, at / 4),
    },
  };
  const gpu = { device, facts: { software: false } } as unknown as Gpu;
  const follow = (works: number[], done: (work: number) => void): Promise<void> => {
    const told = works.map(() => 0);
    const asked = works.map(
      (count, i): Work => ({
        runs: count,
        begin: (portion, before) => {
          jobs[portion] = { before, runs: count };
          begun = before + count;
        },
        onRuns: (n) => {
          told[i] += n;
        },
        end: (portion) => {
          if (counts[1 + portion] !== count) throw new Error(`work ${i} ended before its runs`);
          if (told[i] !== count) throw new Error(`of work ${i} other runs were told`);
          done(i);
        },
      }),
    );
    const programs = { vertex: {}, rays: {}, stones: undefined } as unknown as PathPrograms;
    return run.follow(programs, asked, () => false);
  };
  const run = new PathRun(gpu, { count: slots, counts: {} } as Slots);
  return { follow };
}

const some = { slots: fc.integer({ min: 64, max: 256 }), lasts: fc.integer({ min: 1, max: 90 }) };

it('every work is ended once, when all of its runs are done, and no submission is without steps', async () => {
  vi.useFakeTimers({ toFake: ['performance', 'setTimeout'] });
  const card = fc.record({ ...some, stepMs: fc.constantFrom(0.01, 1, 40) });
  const passes = fc.array(fc.array(fc.integer({ min: 1, max: 3000 }), { minLength: 1, maxLength: 20 }), {
    minLength: 1,
    maxLength: 4,
  });
  await fc.assert(
    fc.asyncProperty(card, passes, async (played, all) => {
      const { follow } = playedCard(played);
      for (const works of all) {
        const ended: number[] = [];
        await follow(works, (work) => ended.push(work));
        expect(ended.sort((a, b) => a - b)).toEqual(works.map((_, i) => i));
      }
    }),
    { seed: 7, numRuns: 60 },
  );
});
