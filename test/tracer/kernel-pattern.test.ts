import { beforeAll, expect, it } from 'vitest';
import type { KernelHost } from '../../pipeline/tracer/kernel-host.ts';
import { parkMiller } from '../park-miller.ts';
import { bareScene, kernel } from './kernel-fixture.ts';

let host: KernelHost;
beforeAll(async () => {
  host = await kernel();
  host.load(bareScene({}));
});

const RADIUS = 10;

/** Mean over a ring of 2 by 6 mm, by points drawn evenly from its volume. */
function meanIn(wood: number, numbers: readonly number[], of: (value: number) => number): number {
  const { at, values } = host.scratch(8);
  values.set(numbers);
  const u = parkMiller(3);
  const POINTS = 60_000;
  let sum = 0;
  for (let i = 0; i < POINTS; i++) {
    const r = Math.sqrt((RADIUS - 2) ** 2 + u() * (RADIUS ** 2 - (RADIUS - 2) ** 2));
    const turn = 2 * Math.PI * u();
    sum += of(host.kernel.probePattern(wood, at, r * Math.cos(turn), r * Math.sin(turn), 6 * u() - 3));
  }
  return sum / POINTS;
}

// stacks a mm, share, turns, bar in mm, bend in mm, bends a mm, seed, radius of the middle
it.each([
  ['flat, a whole number of stacks, to the share itself', [2, 0.3, 0, 0, 0, 1, 1, RADIUS], 0.004],
  ['bent', [2.4, 0.5, 0, 0, 0.5, 0.45, 7, RADIUS], 0.02],
  ['twisted in bars', [2.4, 0.4, 9, 2.2, 0.12, 0.7, 3, RADIUS], 0.02],
])('sheets %s: a ring holds each metal in its share by volume', (_, numbers, within) => {
  const held = meanIn(0, numbers, (place) => (place < numbers[1] ? 1 : 0));
  // flat sheets: cylinders of thickness s t about the axis, whose volumes are known in closed form
  const sheets = (from: number, to: number) => to * to - from * from;
  let [first, all] = [0, 0];
  if (numbers[2] === 0 && numbers[4] === 0)
    for (let r = RADIUS - 2; r < RADIUS - 1e-9; r += 1 / numbers[0]) {
      first += sheets(r, r + numbers[1] / numbers[0]);
      all += sheets(r, r + 1 / numbers[0]);
    }
  expect(Math.abs(held - (all > 0 ? first / all : numbers[1]))).toBeLessThan(within);
});

it('a twisted bar closes round the ring, whole turns after where it began', () => {
  const { at, values } = host.scratch(8);
  values.set([2, 0.5, 5, 2, 0, 1, 3, RADIUS]);
  for (const [r, z] of [
    [9.3, 0.4],
    [8.6, -1.3],
  ]) {
    const [before, after] = [-1e-5, 1e-5].map((y) => host.kernel.probePattern(0, at, r, y, z));
    expect(Math.abs(before - after)).toBeLessThan(1e-3);
  }
});

it('wood is darker in late wood than in early wood, and its figure runs along the fibre', () => {
  const { at, values } = host.scratch(8);
  // rings a mm, pith, straight through, no pores, no waver
  values.set([1, 10, 0, 0, 0, 0, 5, RADIUS]);
  const tone = (x: number, z: number) => host.kernel.probePattern(1, at, x, 0, z);
  const over = (from: number) =>
    Array.from({ length: 200 }, (_, i) => tone(i / 10, from)).reduce((a, b) => a + b) / 200;
  // the ring's number is the distance from the pith, 10 mm away: 10.1 is early, 10.9 late
  expect(over(0.9)).toBeGreaterThan(over(0.1) + 0.2);
  // fibres are streaks: a millimetre along changes less than a millimetre across
  const change = (dx: number, dz: number) =>
    Array.from({ length: 400 }, (_, i) => Math.abs(tone(i / 7 + dx, 0.1 + dz) - tone(i / 7, 0.1))).reduce(
      (a, b) => a + b,
    );
  expect(change(0.1, 0)).toBeLessThan(0.5 * change(0, 0.1));
});

it('pores take the share of early wood that they are given', () => {
  // one endless early year: rings are 1 km apart
  const open = meanIn(1, [1e-6, 12, 0, 3, 0.3, 0, 5, RADIUS], (tone) => (tone > 0.5 ? 1 : 0));
  // r² < (1 − tone)^½ / 6 at tone 0.5; share of cells 0.3 × 1.5
  // about 1,300 cells, of which chance opens 0.45 ± 0.014
  expect(Math.abs(open - 0.45 * Math.PI * (Math.SQRT1_2 / 6))).toBeLessThan(0.02);
});
