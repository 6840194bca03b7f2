import { describe, expect, it } from 'vitest';
import { ALLOYS } from '../../pipeline/trade/alloys.ts';
import { mixtureDensity } from '../../pipeline/trade/mixture.ts';

const rows = [...ALLOYS.values()];

describe('alloys', () => {
  it('mixes densities as the worked example does: 58.3 Au, 10.4 Ag, 31.3 Cu gives 13.33', () => {
    // tmtpages.com/specific-gravity.htm
    expect(mixtureDensity({ Au: 58.3, Ag: 10.4, Cu: 31.3 })).toBeCloseTo(13.33, 2);
    expect(() => mixtureDensity({ Au: 58.3 })).toThrow(RangeError);
    expect(() => mixtureDensity({ Xx: 100 })).toThrow(RangeError);
  });

  // Ranges and values of dealers: 24carat.co.uk "Density of gold and other metals"; supplier gravity table
  // "Where to find gravity of materials" (2012)
  it.each([
    ['yellow-22', 17.7, 17.8],
    ['yellow-18', 15.2, 15.9],
    ['yellow-14', 13.0, 13.5],
    ['yellow-9', 10.9, 12.7],
    ['rose-9', 10.9, 12.7],
    ['white-18', 14.7, 16.9],
    ['silver-925', 10.2, 10.41],
    ['platinum-950', 20.1, 20.8],
  ])('%s weighs between %s and %s g/cm³', (id, low, high) => {
    const { density } = ALLOYS.get(id)!;
    expect(density).toBeGreaterThanOrEqual(low);
    expect(density).toBeLessThanOrEqual(high);
  });

  it('densities lie within 4 % of their composition’s', () => {
    for (const { id, composition, density } of rows) {
      if (composition) expect(Math.abs(mixtureDensity(composition) / density - 1), id).toBeLessThan(0.04);
    }
  });

  it('compositions hold at least the fineness that is stated', () => {
    const symbol = { gold: 'Au', platinum: 'Pt', palladium: 'Pd', silver: 'Ag', none: '' };
    for (const { id, metal, fineness, composition, description } of rows) {
      if (fineness === undefined) continue;
      expect(composition![symbol[metal]] * 10, id).toBeGreaterThanOrEqual(fineness);
      expect(description, id).toContain(String(fineness));
    }
  });

  it('carat wording matches fineness: carat/24 of gold', () => {
    for (const { id, metal, fineness, description } of rows) {
      if (metal !== 'gold') continue;
      const carat = Number(/^(\d+) carat/.exec(description)![1]);
      // legal finenesses round carat/24: 375, 585, 750, 916
      expect(Math.abs(fineness! - (carat / 24) * 1000), id).toBeLessThan(2);
    }
  });

  it('warns of nickel in every alloy that has any', () => {
    for (const { id, composition, cautions } of rows) {
      const warned = cautions.some((c) => /nickel/i.test(c));
      expect(warned, id).toBe((composition?.Ni ?? 0) > 0);
    }
  });

  it('reflectances are physical and every value names its source', () => {
    for (const { id, f0, f82, sources } of rows) {
      for (const f of [...f0, ...f82]) {
        expect(f, id).toBeGreaterThan(0);
        expect(f, id).toBeLessThanOrEqual(1);
      }
      for (const source of Object.values(sources)) expect(source.length, id).toBeGreaterThan(5);
    }
  });

  // Khronos 3DC asset creation guidelines 1.0, section 5 (CC BY 4.0): linear base colours of metals
  it.each([
    ['platinum-950', [0.672, 0.637, 0.585], 0.01],
    ['silver-925', [0.972, 0.96, 0.915], 0.1],
    ['titanium', [0.542, 0.497, 0.449], 0.001],
  ])('%s is near the guideline’s pure metal', (id, expected, within) => {
    ALLOYS.get(id)!.f0.forEach((f, i) => {
      expect(Math.abs(f - expected[i])).toBeLessThanOrEqual(within);
    });
  });

  it('colours rank as gold colours do: lower carat is paler, rose is redder, white is nearly neutral', () => {
    const ratio = (id: string, a: number, b: number) => ALLOYS.get(id)!.f0[a] / ALLOYS.get(id)!.f0[b];
    // yellowness: red over blue falls with carat
    const yellow = ['yellow-22', 'yellow-18', 'yellow-14', 'yellow-9'].map((id) => ratio(id, 0, 2));
    expect([...yellow].sort((a, b) => b - a)).toEqual(yellow);
    for (const carat of [18, 14, 9])
      expect(ratio(`rose-${carat}`, 0, 1)).toBeGreaterThan(ratio(`yellow-${carat}`, 0, 1) * 1.1);
    for (const id of ['white-18', 'white-14', 'platinum-950', 'palladium-950'])
      expect(ratio(id, 0, 2)).toBeLessThan(1.3);
  });
});
