import { describe, expect, it } from 'vitest';
import { fade, meanFade } from '../../pipeline/scene/softbox.ts';
import type { TraceScene } from '../../pipeline/scene/trace-scene.ts';
import { bareScene, kernel, lightTowards } from '../tracer/kernel-fixture.ts';

describe('a fading panel', () => {
  it.each([0, 0.15, 0.5, 1])('has the mean of its own fade over any cell, fading by %f', (falloff) => {
    for (const [from, to] of [
      [-1, 1],
      [-1, -0.9],
      [-0.2, 0.7],
      [0.4, 1],
    ]) {
      const n = 20_000;
      let sum = 0;
      for (let i = 0; i < n; i++) sum += fade(from + ((i + 0.5) / n) * (to - from), falloff) / n;
      expect(meanFade(from, to, falloff)).toBeCloseTo(sum, 6);
    }
  });

  it('that is even shines to its very edge, and one that fades ends there', () => {
    expect([fade(1, 0), fade(-1, 0), meanFade(-1, 1, 0)]).toEqual([1, 1, 1]);
    expect([fade(1, 0.2), fade(-1, 1), fade(0.8, 0.2)]).toEqual([0, 0, 1]);
  });

  it('fades in the kernel as it is metered', async () => {
    const host = await kernel();
    for (const falloff of [0, 0.15, 0.5, 1]) {
      const light = lightTowards([0, 100, 0], [0, 0, 0], 40, 30, 3, falloff);
      host.load(bareScene({ lights: [light] } as Partial<TraceScene>));
      for (const a of [-1, -0.93, -0.6, 0, 0.3, 0.51, 0.88, 0.999])
        for (const b of [-0.97, 0, 0.7])
          expect(host.kernel.probeEmitted(0, a, b)).toBeCloseTo(3 * fade(a, falloff) * fade(b, falloff), 5);
    }
  });
});
