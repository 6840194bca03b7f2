import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { seamCurve } from '../../pipeline/band/seam.ts';
import type { SeamCurve } from '../../pipeline/band/seam-curve.ts';

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

/** Largest difference of slope and bend from central differences of the curve, over the ring. */
function derivativeErrors(curve: SeamCurve) {
  const h = 1e-5;
  let slope = 0;
  let bend = 0;
  for (let i = 0; i < 400; i++) {
    const t = i * 0.0157 + 0.0031;
    slope = Math.max(slope, Math.abs(curve.slope(t) - (curve.z(t + h) - curve.z(t - h)) / (2 * h)));
    bend = Math.max(bend, Math.abs(curve.bend(t) - (curve.slope(t + h) - curve.slope(t - h)) / (2 * h)));
  }
  return { slope, bend };
}

describe('drifts', () => {
  const curve = seamCurve({ kind: 'drift', fromMm: -0.8, toMm: 0.5, phaseRad: 0.4 });

  it('cross once over the top and back underneath, and close', () => {
    expect(curve.z(0.4 - Math.PI / 2)).toBeCloseTo(-0.8, 12);
    expect(curve.z(0.4)).toBeCloseTo(-0.15, 12);
    expect(curve.z(0.4 + Math.PI / 2)).toBeCloseTo(0.5, 12);
    expect(curve.z(1 + 2 * Math.PI)).toBeCloseTo(curve.z(1), 12);
    expect(curve.extremes.map(curve.z)).toEqual([-0.8, 0.5].map((z) => expect.closeTo(z, 12)));
  });

  it('have the derivatives of the curve (central differences)', () => {
    const { slope, bend } = derivativeErrors(curve);
    expect(slope).toBeLessThan(1e-8);
    expect(bend).toBeLessThan(1e-8);
  });
});

describe('seams through points', () => {
  const points = (zMm: number[], phaseRad = 0) => seamCurve({ kind: 'points', zMm, phaseRad });
  const heights = fc.array(fc.double({ min: -2, max: 2, noNaN: true }), { minLength: 3, maxLength: 20 });

  it('pass through them, close, and have the derivatives of the curve (central differences)', () => {
    fc.assert(
      fc.property(heights, fc.double({ min: -7, max: 7, noNaN: true }), (zMm, phaseRad) => {
        const curve = points(zMm, phaseRad);
        const step = (2 * Math.PI) / zMm.length;
        for (const [i, z] of zMm.entries()) expect(curve.z(phaseRad + i * step)).toBeCloseTo(z, 9);
        expect(curve.z(1.3 + 2 * Math.PI)).toBeCloseTo(curve.z(1.3), 9);
        const { slope, bend } = derivativeErrors(curve);
        // differences taken across a knot see the jump of the third derivative
        expect(slope).toBeLessThan(1e-5);
        expect(bend).toBeLessThan(0.1);
        for (const theta of curve.extremes) expect(curve.slope(theta)).toBeCloseTo(0, 6);
        const survey = Array.from({ length: 2000 }, (_, i) => curve.z((2 * Math.PI * i) / 2000));
        if (Math.max(...survey) - Math.min(...survey) < 1e-6) return;
        const turned = curve.extremes.map(curve.z);
        expect(Math.max(...turned)).toBeGreaterThan(Math.max(...survey) - 1e-9);
        expect(Math.min(...turned)).toBeLessThan(Math.min(...survey) + 1e-9);
      }),
      { numRuns: 60 },
    );
  });

  it('stray from a sine by no more than 5/384 · h⁴ · max |f⁗| (Hall & Meyer, J. Approx. Theory 16, 1976)', () => {
    for (const n of [6, 12, 24, 48]) {
      const step = (2 * Math.PI) / n;
      const curve = points(Array.from({ length: n }, (_, i) => Math.sin(i * step)));
      let error = 0;
      for (let i = 0; i < 2000; i++) {
        const theta = i * 0.00314;
        error = Math.max(error, Math.abs(curve.z(theta) - Math.sin(theta)));
      }
      expect(error).toBeLessThan((5 / 384) * step ** 4 * 1.02);
      // and by about that much: the bound is sharp
      expect(error).toBeGreaterThan((5 / 384) * step ** 4 * 0.15);
    }
  });

  it('at angles of their own pass through them, and stray from a sine by no more than the same bound', () => {
    // the bound asks nothing of the partition but its widest step
    const rises = fc.array(fc.double({ min: 0.3, max: 1, noNaN: true }), { minLength: 6, maxLength: 30 });
    fc.assert(
      fc.property(rises, fc.double({ min: -7, max: 7, noNaN: true }), (rise, phaseRad) => {
        const whole = rise.reduce((sum, r) => sum + r, 0);
        const steps = rise.map((r) => (2 * Math.PI * r) / whole);
        const anglesRad = steps.map((_, i) => steps.slice(0, i).reduce((sum, h) => sum + h, 0.2));
        const zMm = anglesRad.map((at) => Math.sin(phaseRad + at));
        const curve = seamCurve({ kind: 'points', zMm, anglesRad, phaseRad });
        for (const [i, at] of anglesRad.entries()) expect(curve.z(phaseRad + at)).toBeCloseTo(zMm[i], 9);
        const bound = (5 / 384) * Math.max(...steps) ** 4;
        for (let i = 0; i < 400; i++) {
          const theta = i * 0.0157;
          expect(Math.abs(curve.z(theta) - Math.sin(theta))).toBeLessThan(bound + 1e-9);
        }
        expect(derivativeErrors(curve).slope).toBeLessThan(1e-5);
        for (const theta of curve.extremes) expect(curve.slope(theta)).toBeCloseTo(0, 6);
      }),
      { numRuns: 40 },
    );
  });
});
