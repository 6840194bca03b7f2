import { describe, expect, it } from 'vitest';
import { hemisphericFresnel, shotGround, underCoat, WHITE_LEVEL } from '../../pipeline/scene/ground.ts';

describe('grounds', () => {
  it('hemispheric reflectance of a dielectric: Judd, J. Res. NBS 29, 1942 (from memory): n = 1.5 → 9.18 %', () => {
    expect(hemisphericFresnel(1.5)).toBeCloseTo(0.0918, 4);
  });

  it('hemispheric reflectance: Walsh’s closed form (Dept. Sci. Ind. Res. Illum. Tech. Paper 2, 1926), from memory', () => {
    const walsh = (n: number) => {
      const n2 = n * n;
      return (
        0.5 +
        ((n - 1) * (3 * n + 1)) / (6 * (n + 1) ** 2) +
        ((n2 * (n2 - 1) ** 2) / (n2 + 1) ** 3) * Math.log((n - 1) / (n + 1)) -
        (2 * n ** 3 * (n2 + 2 * n - 1)) / ((n2 + 1) * (n ** 4 - 1)) +
        ((8 * n ** 4 * (n ** 4 + 1)) / ((n2 + 1) * (n ** 4 - 1) ** 2)) * Math.log(n)
      );
    };
    for (const n of [1.3, 1.49, 1.8]) expect(hemisphericFresnel(n)).toBeCloseTo(walsh(n), 4);
  });

  it('a coat swallows nothing over white, and darkens what is darker', () => {
    expect(underCoat(1)).toBeCloseTo(1, 12);
    expect(underCoat(0)).toBe(0);
    for (const body of [0.02, 0.3, 0.7]) expect(underCoat(body)).toBeLessThan(body);
  });

  it('white and clear ground show at the level that becomes paper white', () => {
    expect(shotGround({ kind: 'white' })).toEqual({ ...shotGround({ kind: 'clear' }), kind: 'white' });
    expect(shotGround({ kind: 'white' }).level).toBe(WHITE_LEVEL);
  });
});
