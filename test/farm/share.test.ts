import { mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { TakeWork } from '../../pipeline/artefacts/film.ts';
import { main } from '../../pipeline/cli/main.ts';
import { makeCatalogue } from '../../pipeline/run/make.ts';
import { mergeStore } from '../../pipeline/run/merging.ts';
import { divideTakes, makeShare, readShard } from '../../pipeline/run/share.ts';
import { openTracer, optionsIn, snapshot, tinyPlan } from './tiny.ts';

let folder: string;
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'bandwright-share-'));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const QUALITY = { noise: 0.02, passCap: 1000 };
const SHOT = { view: 'front', ground: { kind: 'white' } };

const cost = (t: TakeWork) => (t.take.shot.widthPx * t.take.shot.heightPx) / 1e6;
const takes = (widths: number[]) =>
  widths.map((w, i) => ({
    records: { 'wasm-simd': String(i) },
    take: { shot: { ...SHOT, widthPx: w, heightPx: 1000 }, shapes: [], optics: [[]], colourways: [{}] },
  })) as unknown as TakeWork[];

/** Least possible largest share, by trying all divisions that are not worse already. */
function bestDivision(widths: readonly number[], of: number): number {
  const loads = new Array<number>(of).fill(0);
  let best = Number.POSITIVE_INFINITY;
  const place = (i: number) => {
    const most = Math.max(...loads);
    if (most >= best) return;
    if (i === widths.length) {
      best = most;
      return;
    }
    for (let k = 0; k < of; k++) {
      if (loads.indexOf(loads[k]) < k) continue;
      loads[k] += widths[i];
      place(i + 1);
      loads[k] -= widths[i];
    }
  };
  place(0);
  return best;
}

describe('shares', () => {
  it("give every take to one machine, within Graham's bound for largest first, whatever the order", () => {
    fc.assert(
      fc.property(
        fc.array(fc.integer({ min: 1, max: 999 }), { minLength: 1, maxLength: 30 }),
        fc.integer({ min: 1, max: 7 }),
        (widths, of) => {
          const all = takes(widths);
          const shares = divideTakes(all, QUALITY, of);
          expect(divideTakes([...all].reverse(), QUALITY, of)).toEqual(shares);
          expect(new Set(shares.flat())).toEqual(new Set(all));
          expect(shares.flat()).toHaveLength(all.length);
          const sums = shares.map((s) => s.reduce((n, t) => n + cost(t), 0));
          // Graham 1969: a share that ends last began its last take when no other had less.
          const mean = sums.reduce((a, b) => a + b) / of;
          expect(Math.max(...sums)).toBeLessThanOrEqual(
            mean + Math.max(...all.map(cost)) * (1 - 1 / of) + 1e-9,
          );
        },
      ),
    );
  });

  it('cost at most 4/3 − 1/3m of the best division', () => {
    // R. L. Graham, "Bounds on multiprocessing timing anomalies", SIAM J. Appl. Math. 17 (1969), theorem 2
    fc.assert(
      fc.property(
        fc.array(fc.integer({ min: 1, max: 60 }), { minLength: 1, maxLength: 8 }),
        fc.integer({ min: 1, max: 4 }),
        (widths, of) => {
          const sums = divideTakes(takes(widths), QUALITY, of).map((s) => s.reduce((n, t) => n + cost(t), 0));
          const best = bestDivision(widths, of) / 1000;
          expect(Math.max(...sums)).toBeLessThanOrEqual((4 / 3 - 1 / (3 * of)) * best + 1e-9);
          expect(Math.max(...sums)).toBeGreaterThanOrEqual(best - 1e-9);
        },
      ),
      // the textbook's worst case: 2m + 1 takes of 2m − 1, 2m − 1, …, m + 1, m + 1, m, m, m
      { examples: [[[5, 5, 4, 4, 3, 3, 3], 3]] },
    );
    expect(
      Math.max(
        ...divideTakes(takes([5, 5, 4, 4, 3, 3, 3]), QUALITY, 3).map((s) =>
          s.reduce((n, t) => n + cost(t), 0),
        ),
      ),
    ).toBeCloseTo((11 / 9) * 0.009, 9);
  });

  it('refuse what is none', () => {
    for (const text of ['0/2', '3/2', '1', 'a/b', '-1/2']) expect(() => readShard(text)).toThrow(/bad-share/);
    expect(readShard('2/2')).toEqual({ index: 2, of: 2 });
  });

  it('merged in any order and twice are the undivided catalogue, byte for byte', async () => {
    const plan = await tinyPlan(folder);
    const at = (name: string) => join(folder, name);
    await makeCatalogue(plan, optionsIn(at('whole')));
    const one = await makeShare(plan, { index: 1, of: 2 }, optionsIn(at('a')));
    const two = await makeShare(plan, { index: 2, of: 2 }, optionsIn(at('b')));
    expect([one.takes > 0, two.takes > 0, one.takes + two.takes]).toEqual([true, true, plan.takes.length]);
    expect(() => snapshot(join(at('a'), 'tiny'))).toThrow(/ENOENT/);
    const copied: number[] = [];
    const merged = await makeCatalogue(plan, {
      ...optionsIn(at('merged')),
      openTracer: () => Promise.reject(new Error('merging traces nothing')),
      elsewhere: {
        lacking: 'lacking',
        fill: async (job) => {
          for (const from of ['b', 'a', 'b'])
            copied.push((await mergeStore(job.place.store, at(from))).copied);
        },
      },
    });
    expect(merged.failed.size).toBe(0);
    expect(copied[2]).toBe(0);
    expect(snapshot(join(at('merged'), 'tiny'))).toEqual(snapshot(join(at('whole'), 'tiny')));
    // both into one folder, at the same time
    const shared = optionsIn(at('shared'));
    await Promise.all([1, 2].map((index) => makeShare(plan, { index, of: 2 }, shared)));
    await makeCatalogue(plan, { ...shared, openTracer: () => Promise.reject(new Error('all is there')) });
    expect(snapshot(join(at('shared'), 'tiny'))).toEqual(snapshot(join(at('whole'), 'tiny')));
  });

  it('that are lacking leave their SKUs out, with exit 1; folders without a store are refused', async () => {
    const plan = await tinyPlan(folder);
    await makeShare(plan, { index: 1, of: 2 }, { ...optionsIn(join(folder, 'half')), openTracer });
    mkdirSync(join(folder, 'empty'));
    const run = async (from: string) => {
      let text = '';
      const stream = { write: (t: string) => (text += t), terminal: false, columns: 100 };
      const out = join(folder, `out-${from}`);
      const args = ['merge', plan.configFile, '--from', join(folder, from), '--out', out];
      return { code: await main(args, { out: stream, err: stream }), text };
    };
    const half = await run('half');
    expect(half.code).toBe(1);
    expect(half.text).toMatch(/not in the store, nor in any of the folders merged/);
    const empty = await run('empty');
    expect(empty.code).toBe(2);
    expect(empty.text).toMatch(/no-store/);
  });
});
