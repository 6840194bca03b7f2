import { describe, expect, it } from 'vitest';
import { curve } from './curve.ts';
import { growth, type Sample } from './growth.ts';

const samples = (node: (take: number) => number, browser = () => 4e8): Sample[] =>
  Array.from({ length: 100 }, (_, i) => ({
    seconds: i,
    takes: i >> 1,
    node: node(i >> 1),
    browser: browser(),
  }));

describe('growth of memory', () => {
  it('is the slope of a straight line, without error', () => {
    const { megabytes, error } = growth(
      samples((n) => 2e8 + 3e5 * n),
      'node',
    );
    expect(megabytes).toBeCloseTo(30, 9);
    expect(error).toBeCloseTo(0, 6);
  });

  it('of what goes up and down is nothing, within its error', () => {
    const { megabytes, error } = growth(
      samples((n) => 2e8 + 2e7 * ((n * 7) % 5)),
      'node',
    );
    expect(Math.abs(megabytes)).toBeLessThan(2 * error);
    expect(error).toBeGreaterThan(5);
  });

  it('can be seen', () => {
    const drawn = curve(samples((n) => 1e8 + 1e6 * n));
    // 100 MB of 400 lie a quarter of the way up
    expect(drawn).toContain('points="70.0,285.0 70.0,285.0');
    expect(drawn.match(/<polyline/g)).toHaveLength(2);
  });
});
