import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { seamCurve } from '../../pipeline/band/seam.ts';

const wave = { kind: 'wave', atMm: 0.2, amplitudeMm: 0.7, periods: 5, sharpness: 0, phaseRad: 0.3 } as const;

describe('wave seams', () => {
  it('are a sine without sharpness', () => {
    const curve = seamCurve(wave);
    for (let i = 0; i < 50; i++) {
      const theta = i * 0.13;
      expect(curve.z(theta)).toBeCloseTo(0.2 + 0.7 * Math.sin(5 * theta + 0.3), 8);
    }
  });

  it('tend to a zigzag as sharpness tends to 1', () => {
    // triangle wave of amplitude A: A · (2/π) · asin(sin x)
    const curve = seamCurve({ ...wave, sharpness: 0.99999 });
    for (let i = 0; i < 50; i++) {
      const x = 5 * i * 0.13 + 0.3;
      const zigzag = 0.2 + 0.7 * (2 / Math.PI) * Math.asin(Math.sin(x));
      expect(Math.abs(curve.z(i * 0.13) - zigzag)).toBeLessThan(0.005);
    }
  });

  it('reach their amplitude and close, and their derivatives are those of the curve (central differences)', () => {
    const arbitrary = fc.record({
      amplitudeMm: fc.double({ min: 0.05, max: 1.5, noNaN: true }),
      periods: fc.integer({ min: 1, max: 12 }),
      sharpness: fc.double({ min: 0, max: 0.97, noNaN: true }),
      phaseRad: fc.double({ min: -7, max: 7, noNaN: true }),
      theta: fc.double({ min: 0, max: 6.3, noNaN: true }),
    });
    fc.assert(
      fc.property(arbitrary, ({ theta, ...change }) => {
        const curve = seamCurve({ ...wave, ...change });
        const h = 1e-5;
        const slope = (curve.z(theta + h) - curve.z(theta - h)) / (2 * h);
        const bend = (curve.slope(theta + h) - curve.slope(theta - h)) / (2 * h);
        expect(curve.slope(theta)).toBeCloseTo(slope, 4);
        expect(Math.abs(curve.bend(theta) - bend)).toBeLessThan(1e-3 * (1 + Math.abs(bend)));
        expect(curve.z(theta + 2 * Math.PI)).toBeCloseTo(curve.z(theta), 9);
        const heights = curve.extremes.map(curve.z);
        expect(Math.max(...heights)).toBeCloseTo(0.2 + change.amplitudeMm, 9);
        expect(Math.min(...heights)).toBeCloseTo(0.2 - change.amplitudeMm, 9);
      }),
      { numRuns: 200 },
    );
  });
});
