import { describe, expect, it } from 'vitest';
import { parkMiller } from '../park-miller.ts';
import { bottleneck, type FarmPlan, simulateFarm } from './farm-simulation.ts';

const takes = (n: number, seconds: (i: number) => number) =>
  Array.from({ length: n }, (_, i) => ({ seconds: seconds(i), bytes: 0, pictures: 0 }));
const free = { queueSeconds: 0, storeBytesPerSecond: 1e9, publishSeconds: 0 };
const run = (plan: Partial<FarmPlan> & Pick<FarmPlan, 'takes' | 'workers'>) =>
  simulateFarm({ ...free, ...plan });

describe('a farm without any bottleneck', () => {
  it('of equal takes needs ⌈n/m⌉ rounds, and one worker the sum (closed forms)', () => {
    expect(run({ takes: takes(100, () => 3), workers: 7 }).makespanSeconds).toBeCloseTo(45, 9);
    const one = run({ takes: takes(50, (i) => i), workers: 1 });
    expect(one.makespanSeconds).toBeCloseTo(1225, 9);
    expect(one.idleShare).toBeCloseTo(0, 9);
  });

  it('keeps Graham’s bound for lists: at most (2 − 1/m) times the best possible', () => {
    // R. L. Graham, "Bounds on multiprocessing timing anomalies", SIAM J. Appl. Math. 17 (1969)
    const some = takes(300, (i) => 1 + ((i * 7919) % 97));
    const sum = some.reduce((s, t) => s + t.seconds, 0);
    for (const workers of [2, 5, 40, 299]) {
      const best = Math.max(sum / workers, ...some.map((t) => t.seconds));
      const { makespanSeconds } = run({ takes: some, workers });
      expect(makespanSeconds).toBeGreaterThanOrEqual(best - 1e-9);
      expect(makespanSeconds).toBeLessThanOrEqual((2 - 1 / workers) * best + 1e-9);
    }
  });
});

describe('servers that fill up', () => {
  const many = Array.from({ length: 2000 }, () => ({ seconds: 10, bytes: 1e6, pictures: 4 }));

  it('no farm is faster than its busiest server alone', () => {
    const slowStore = run({ takes: many, workers: 500, storeBytesPerSecond: 1e7 });
    expect(slowStore.makespanSeconds).toBeGreaterThanOrEqual(200);
    expect(slowStore.makespanSeconds).toBeLessThan(220);
    expect(bottleneck(slowStore)).toBe('store');
    const slowPublisher = run({ takes: many, workers: 500, publishSeconds: 0.1 });
    expect(slowPublisher.makespanSeconds).toBeGreaterThanOrEqual(800);
    expect(bottleneck(slowPublisher)).toBe('publisher');
    expect(bottleneck(run({ takes: many, workers: 500, queueSeconds: 0.1 }))).toBe('queue');
    expect(bottleneck(run({ takes: many, workers: 3 }))).toBe('workers');
  });

  it('does every take once more for each death, and ends', () => {
    const random = parkMiller(1);
    const calm = run({ takes: many, workers: 20 });
    const rough = run({ takes: many, workers: 20, deathChance: 0.1, stallSeconds: 30, random });
    expect(rough.repeated).toBeGreaterThan(150);
    expect(rough.repeated).toBeLessThan(300);
    expect(rough.storeBytes).toBe(calm.storeBytes);
    expect(rough.makespanSeconds).toBeGreaterThan(calm.makespanSeconds);
  });
});
