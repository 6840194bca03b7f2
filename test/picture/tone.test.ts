import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { pbrNeutral, toneCurve } from '../../pipeline/picture/tone.ts';
import type { Rgb } from '../../pipeline/trade/rgb.ts';

const value = fc.double({ min: 0, max: 100, noNaN: true });

/** Inverse solved from the published equations, channel by channel from the peak down. */
function inverse([r, g, b]: Rgb): Rgb {
  const peak = Math.max(r, g, b);
  let [x, y, z] = [r, g, b];
  if (peak > 0.76) {
    const p = 0.24 ** 2 / (1 - peak) - 1 + 2 * 0.76;
    const keep = 1 / (0.15 * (p - peak) + 1);
    const back = (c: number) => ((c - peak * (1 - keep)) / keep) * (p / peak);
    [x, y, z] = [back(r), back(g), back(b)];
  }
  const least = Math.max(0, Math.min(x, y, z)); // rounding may leave −1e-17
  // least = x²/(4 F90) below the toe, x − F90 above it
  const offset = least < 0.04 ? Math.sqrt(0.16 * least) - least : 0.04;
  return [x + offset, y + offset, z + offset];
}

/** Source: KhronosGroup/ToneMapping, PBR_Neutral/README.md, "PBR Neutral Specification" and its notes. */
describe('Khronos PBR Neutral', () => {
  it('returns c − 0.04 for all channels within 0.08 and 0.8', () => {
    const inside = fc.double({ min: 0.08, max: 0.8, noNaN: true });
    fc.assert(
      fc.property(inside, inside, inside, (r, g, b) => {
        const out = pbrNeutral(r, g, b);
        expect(out[0]).toBeCloseTo(r - 0.04, 12);
        expect(out[1]).toBeCloseTo(g - 0.04, 12);
        expect(out[2]).toBeCloseTo(b - 0.04, 12);
      }),
    );
  });

  it('is invertible: the analytic inverse gives the input back', () => {
    const wide = fc.double({ min: 0, max: 20, noNaN: true });
    fc.assert(
      fc.property(wide, wide, wide, (r, g, b) => {
        const back = inverse(pbrNeutral(r, g, b));
        for (const [got, want] of [
          [back[0], r],
          [back[1], g],
          [back[2], b],
        ]) {
          expect(Math.abs(got - want)).toBeLessThan(1e-7 * (1 + want) + 1e-6 * Math.max(r, g, b));
        }
      }),
    );
  });

  it('stays within [0, 1) and never turns hue about the white axis', () => {
    fc.assert(
      fc.property(value, value, value, (r, g, b) => {
        const [x, y, z] = pbrNeutral(r, g, b);
        expect(Math.min(x, y, z)).toBeGreaterThanOrEqual(-1e-12);
        expect(Math.max(x, y, z)).toBeLessThan(1);
        // input, output and white lie in one plane
        const det = (r - g) * (y - z) - (g - b) * (x - y);
        expect(Math.abs(det)).toBeLessThan(1e-9 * (1 + r + g + b));
      }),
    );
  });

  it('has continuous first derivatives at the toe and where compression starts', () => {
    const slope = (at: number, side: number) =>
      (pbrNeutral(at + side, at + side, at + side)[0] - pbrNeutral(at, at, at)[0]) / side;
    for (const knee of [0.08, 0.8]) expect(slope(knee, 1e-6)).toBeCloseTo(slope(knee, -1e-6), 3);
  });
});

describe('white point', () => {
  it.each([0.5, 1, 1.5, 4])('shows a ground of level %d as exactly 1', (white) => {
    const out: Rgb = [0, 0, 0];
    expect(toneCurve(white)(white, white, white, out)).toEqual([1, 1, 1]);
  });

  it('is film level 1 unless it is said otherwise', () => {
    expect(toneCurve()(0.5, 0.5, 0.5, [0, 0, 0])[0]).toBeCloseTo(0.529, 3);
  });

  it('shows greys as the specification does, over its value of white', () => {
    const curve = toneCurve(1);
    const white = pbrNeutral(1, 1, 1)[0];
    fc.assert(
      fc.property(value, (v) => {
        const shown = curve(v, v, v, [0, 0, 0]);
        for (const c of shown) expect(c).toBeCloseTo(Math.min(1, pbrNeutral(v, v, v)[0] / white), 9);
      }),
    );
  });

  it('has the specification’s brightest channel, and keeps the others’ ratio to it where nothing is compressed', () => {
    const curve = toneCurve(1);
    const white = pbrNeutral(1, 1, 1)[0];
    const dim = fc.double({ min: 0.001, max: 0.76, noNaN: true });
    fc.assert(
      fc.property(dim, dim, dim, (r, g, b) => {
        const out = curve(r, g, b, [0, 0, 0]);
        expect(Math.max(...out)).toBeCloseTo(Math.max(...pbrNeutral(r, g, b)) / white, 9);
        expect(out[0] * g).toBeCloseTo(out[1] * r, 9);
        expect(out[1] * b).toBeCloseTo(out[2] * g, 9);
      }),
    );
  });

  it('never makes a colour purer than it is, nor turns its hue about the white axis', () => {
    const curve = toneCurve(1.3);
    fc.assert(
      fc.property(value, value, value, (r, g, b) => {
        const [x, y, z] = curve(r, g, b, [0, 0, 0]);
        expect(Math.max(x, y, z)).toBeLessThanOrEqual(1 + 1e-12);
        const det = (r - g) * (y - z) - (g - b) * (x - y);
        expect(Math.abs(det)).toBeLessThan(1e-9 * (1 + r + g + b));
        const [most, least] = [Math.max(r, g, b), Math.min(r, g, b)];
        expect(Math.min(x, y, z) * most).toBeGreaterThanOrEqual(
          Math.max(x, y, z) * least - 1e-9 * (1 + most),
        );
      }),
    );
  });

  it('rises with the light for greys up to white', () => {
    const curve = toneCurve(1);
    let last = -1;
    for (let v = 0; v <= 1.0001; v += 0.001) {
      const shown = curve(v, v, v, [0, 0, 0])[0];
      expect(shown).toBeGreaterThan(last - (v > 1 ? 1e-9 : 0));
      last = shown;
    }
  });

  it('takes film values no light can have as black or as very bright', () => {
    const curve = toneCurve(1);
    expect(curve(Number.NaN, -3, 0, [0, 0, 0])).toEqual([0, 0, 0]);
    expect(curve(Infinity, Infinity, Infinity, [0, 0, 0])).toEqual([1, 1, 1]);
    expect(() => toneCurve(0)).toThrow(RangeError);
  });
});
