import { describe, expect, it } from 'vitest';
import { ALLOYS } from '../../pipeline/trade/alloys.ts';
import { tradeCarats } from '../../pipeline/trade/cuts.ts';
import { caratsOf, caratWording, gramsOf, gramWording } from '../../pipeline/trade/mass.ts';
import { STONES } from '../../pipeline/trade/stones.ts';

/** Volume of a sharp flat band, closed form: π·w·((r + t)² − r²). */
function flatBand(circumference: number, width: number, thickness: number): number {
  const r = circumference / (2 * Math.PI);
  return Math.PI * width * ((r + thickness) ** 2 - r ** 2);
}

describe('mass', () => {
  // closed form times dealers' densities (sources in the alloy table)
  it.each([
    [54, 4, 1.6, 377.77, { 'yellow-18': 5.886, 'yellow-14': 4.937, 'platinum-950': 7.82, tantalum: 6.29 }],
    [54, 2, 1.5, 176.14, { 'yellow-18': 2.744, 'platinum-950': 3.646, tantalum: 2.933 }],
    [62, 6, 2.0, 819.4, { 'yellow-18': 12.766, 'palladium-950': 9.669, titanium: 3.695, tantalum: 13.643 }],
  ])('flat band %s × %s × %s mm holds %s mm³', (circumference, width, thickness, volume, grams) => {
    const mm3 = flatBand(circumference, width, thickness);
    expect(mm3).toBeCloseTo(volume, 1);
    for (const [id, expected] of Object.entries(grams))
      expect(Math.abs(gramsOf(mm3, ALLOYS.get(id)!.density) - expected), id).toBeLessThan(0.002);
  });

  it('a metric carat is 0.2 g', () => {
    expect(caratsOf(100, 3.52) * 0.2).toBeCloseTo(gramsOf(100, 3.52), 12);
  });

  // Diameters to carats in trade lists of melee: gurudiam.com "Melee diamond size chart", phioro.com "What size
  // is a carat in mm". Stones below 2 mm are cut deeper than ideal, so lists run 15 to 35 % above.
  it.each([
    [1.0, 0.005],
    [1.3, 0.01],
    [1.5, 0.015],
    [1.8, 0.025],
    [2.0, 0.0325],
    [2.5, 0.0625],
    [3.0, 0.105],
    [4.0, 0.25],
    [5.0, 0.5],
    [6.5, 1.0],
  ])('a %s mm round is listed at %s ct', (d, listed) => {
    // 57-facet solid of table 57 %, crown 34.5°, pavilion 40.75°, girdle 3 %: V = 0.2096 d³, depth 60.9 %
    const solid = caratsOf(0.2096 * d ** 3, STONES.get('diamond')!.density);
    const trade = tradeCarats('round-brilliant', d, d, 0.609 * d);
    expect(Math.abs(trade / solid - 1)).toBeLessThan(0.02);
    expect(solid / listed).toBeGreaterThan(d < 2 ? 0.7 : 0.88);
    expect(solid / listed).toBeLessThan(1.02);
  });

  it('words weights as approximate, with two decimals', () => {
    expect(caratWording(0.4962)).toBe('approx. 0.50 ct');
    // .50 means .495 to .504: US 16 CFR 23.18
    expect(caratWording(0.4945)).toBe('approx. 0.49 ct');
    expect(caratWording(0.003)).toBe('less than 0.01 ct');
    expect(caratWording(0)).toBe('no stones');
    expect(gramWording(5.8862)).toBe('approx. 5.89 g');
  });
});
