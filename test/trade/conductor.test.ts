import { describe, expect, it } from 'vitest';
import {
  alloyF82,
  COS_82,
  fresnelConductor,
  METAL_INDEX,
  type PureMetal,
  pureReflectance,
} from '../../pipeline/trade/conductor.ts';

type Complex = [re: number, im: number];
const mul = (a: Complex, b: Complex): Complex => [a[0] * b[0] - a[1] * b[1], a[0] * b[1] + a[1] * b[0]];
const sub = (a: Complex, b: Complex): Complex => [a[0] - b[0], a[1] - b[1]];
const add = (a: Complex, b: Complex): Complex => [a[0] + b[0], a[1] + b[1]];
const abs2 = (a: Complex): number => a[0] * a[0] + a[1] * a[1];
function sqrt([re, im]: Complex): Complex {
  const r = Math.hypot(re, im);
  const x = Math.sqrt((r + re) / 2);
  return [x, (im < 0 ? -1 : 1) * Math.sqrt((r - re) / 2)];
}

/** Textbook form with complex numbers: r_s = (cosθ − q)/(cosθ + q), r_p = (N²cosθ − q)/(N²cosθ + q), q² = N² − sin²θ. */
function complexFresnel(n: number, k: number, cos: number): number {
  const n2 = mul([n, k], [n, k]);
  const q = sqrt(sub(n2, [1 - cos * cos, 0]));
  const s = abs2(sub([cos, 0], q)) / abs2(add([cos, 0], q));
  const nc = mul(n2, [cos, 0]);
  const p = abs2(sub(nc, q)) / abs2(add(nc, q));
  return (s + p) / 2;
}

const metals = Object.keys(METAL_INDEX) as PureMetal[];

describe('Fresnel reflectance of conductors', () => {
  it('agrees with the complex textbook form (Born & Wolf 14.4) at every angle', () => {
    for (const metal of metals)
      for (let degrees = 0; degrees <= 89; degrees += 1) {
        const cos = Math.cos((degrees * Math.PI) / 180);
        const { n, k } = METAL_INDEX[metal];
        for (const i of [0, 1, 2])
          expect(fresnelConductor(n[i], k[i], cos)).toBeCloseTo(complexFresnel(n[i], k[i], cos), 10);
      }
  });

  it('is ((n − 1)² + k²)/((n + 1)² + k²) straight on and 1 at grazing', () => {
    for (const metal of metals) {
      const { n, k } = METAL_INDEX[metal];
      const straight = n.map((x, i) => ((x - 1) ** 2 + k[i] ** 2) / ((x + 1) ** 2 + k[i] ** 2));
      pureReflectance(metal, 1).forEach((r, i) => {
        expect(r).toBeCloseTo(straight[i], 12);
      });
      for (const r of pureReflectance(metal, 0)) expect(r).toBeCloseTo(1, 12);
    }
  });

  it('without absorption is a dielectric: 4 % at n = 1.5, and half of r_s at Brewster’s angle', () => {
    expect(fresnelConductor(1.5, 0, 1)).toBeCloseTo(0.04, 12);
    const cos = Math.cos(Math.atan(1.5));
    // r_s at Brewster's angle is (n² − 1)/(n² + 1)
    expect(fresnelConductor(1.5, 0, cos)).toBeCloseTo(((1.25 / 3.25) * (1.25 / 3.25)) / 2, 12);
  });

  // reflectance at normal incidence at about 610, 550, 450 nm from the same tables, interpolated:
  // refractiveindex.info-database (CC0-1.0), Johnson & Christy 1972/1974, Rakić 1998
  it.each<[PureMetal, number[]]>([
    ['gold', [0.923, 0.792, 0.408]],
    ['silver', [0.987, 0.983, 0.98]],
    ['copper', [0.869, 0.624, 0.538]],
    ['palladium', [0.721, 0.698, 0.656]],
    ['titanium', [0.606, 0.582, 0.544]],
    ['nickel', [0.679, 0.644, 0.571]],
    ['platinum', [0.665, 0.641, 0.588]],
  ])('%s', (metal, expected) => {
    pureReflectance(metal, 1).forEach((r, i) => {
      // the tables' rows stand up to 7 nm beside the wavelength, where gold and copper are steep
      const steep = metal === 'gold' || metal === 'copper';
      expect(Math.abs(r - expected[i])).toBeLessThan(steep ? 0.035 : 0.012);
    });
  });

  it('an alloy that looks like a pure metal keeps that metal’s 82° value, and nothing passes 1', () => {
    for (const metal of metals) {
      const same = alloyF82(pureReflectance(metal, 1), metal);
      pureReflectance(metal, COS_82).forEach((r, i) => {
        expect(same[i]).toBeCloseTo(r, 12);
      });
      for (const f of alloyF82([1, 0.5, 0.99], metal)) expect(f).toBeLessThanOrEqual(1);
    }
  });
});
