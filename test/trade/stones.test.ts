import { describe, expect, it } from 'vitest';
import { chosenStone, declaredStone, stoneSlug } from '../../pipeline/trade/declared-stone.ts';
import { absorptionPerMm } from '../../pipeline/trade/stone-optics.ts';
import { STONE_ORIGINS, STONES } from '../../pipeline/trade/stones.ts';

const rows = [...STONES.values()];
const index = (id: string, um: number) => {
  const { cauchyA, cauchyB } = STONES.get(id)!;
  return cauchyA + cauchyB / um ** 2;
};

/** Sellmeier formulas of refractiveindex.info-database (CC0-1.0): n² = 1 + c0 + Σ Bλ²/(λ² − C²). */
function sellmeier(um: number, c0: number, terms: [b: number, c: number][], squared = true): number {
  const l2 = um * um;
  return Math.sqrt(1 + c0 + terms.reduce((n, [b, c]) => n + (b * l2) / (l2 - (squared ? c * c : c)), 0));
}

const MEASURED: Record<string, (um: number) => number> = {
  // main/C/nk/Peter.yml
  diamond: (um) =>
    sellmeier(um, 0, [
      [0.3306, 0.175],
      [4.3356, 0.106],
    ]),
  // main/Al2O3/nk/Malitson-o.yml
  ruby: (um) =>
    sellmeier(um, 0, [
      [1.4313493, 0.0726631],
      [0.65054713, 0.1193242],
      [5.3414021, 18.028251],
    ]),
  // main/SiO2/nk/Ghosh-o.yml
  amethyst: (um) =>
    sellmeier(
      um,
      0.28604141,
      [
        [1.07044083, 1.00585997e-2],
        [1.10202242, 100],
      ],
      false,
    ),
  // other/mixed crystals/ZrO2-Y2O3/nk/Wood.yml
  'cubic-zirconia': (um) =>
    sellmeier(um, 0, [
      [1.347091, 0.062543],
      [2.117788, 0.166739],
      [9.452943, 24.32057],
    ]),
};

describe('refraction of stones', () => {
  it.each(Object.keys(MEASURED))('%s follows its measured curve from 430 to 690 nm', (id) => {
    for (let um = 0.43; um < 0.69; um += 0.01)
      expect(Math.abs(index(id, um) - MEASURED[id](um))).toBeLessThan(0.005);
  });

  it('keeps index at the D line and B–G dispersion of the gem tables', () => {
    for (const s of rows) {
      expect(index(s.id, 0.5893)).toBeCloseTo(s.indexD, 10);
      expect(index(s.id, 0.4308) - index(s.id, 0.6867)).toBeCloseTo(s.dispersionBG, 10);
    }
  });

  it('diamond reflects 17.2 % straight on and its critical angle is 24.4° (n 2.417)', () => {
    const n = STONES.get('diamond')!.indexD;
    expect(((n - 1) / (n + 1)) ** 2).toBeCloseTo(0.172, 3);
    expect((Math.asin(1 / n) * 180) / Math.PI).toBeCloseTo(24.4, 1);
  });

  it('diamond’s Abbe number is 55, as Khronos KHR_materials_dispersion lists it', () => {
    const abbe = (index('diamond', 0.5893) - 1) / (index('diamond', 0.4861) - index('diamond', 0.6563));
    expect(Math.abs(abbe - 55)).toBeLessThan(1);
  });

  it('stones with one optics id bend light alike', () => {
    for (const a of rows)
      for (const b of rows)
        if (a.optics === b.optics) expect([a.cauchyA, a.cauchyB]).toEqual([b.cauchyA, b.cauchyB]);
    expect(STONES.get('champagne-diamond')!.optics).toBe(STONES.get('diamond')!.optics);
    expect(STONES.get('ruby')!.optics).toBe(STONES.get('sapphire-blue')!.optics);
    expect(STONES.get('ruby')!.optics).not.toBe(STONES.get('emerald')!.optics);
  });
});

describe('colour of stones', () => {
  it('absorbs as Beer and Lambert say: the share passes over its depth, its square over twice that', () => {
    const sigma = absorptionPerMm([0.8, 0.25, 1], 2);
    const pass = (mm: number) => sigma.map((s) => Math.exp(-s * mm));
    expect(pass(2)[0]).toBeCloseTo(0.8, 12);
    expect(pass(4)[1]).toBeCloseTo(0.0625, 12);
    expect(pass(7)[2]).toBe(1);
  });

  it('body colours show over the mean path of melee: 2 to 2.5 depths of a 1.2 to 2 mm stone', () => {
    // a brilliant is about 0.6 of its diameter deep
    for (const mm of [1.2 * 0.6 * 2, 2 * 0.6 * 2.5]) {
      const [ruby, sapphire, emerald] = ['ruby', 'sapphire-blue', 'emerald'].map((id) =>
        STONES.get(id)!.absorption.map((s) => Math.exp(-s * mm)),
      );
      expect(ruby[0]).toBeGreaterThan(3 * Math.max(ruby[1], ruby[2]));
      expect(sapphire[2]).toBeGreaterThan(2.5 * Math.max(sapphire[0], sapphire[1]));
      expect(emerald[1]).toBeGreaterThan(1.8 * Math.max(emerald[0], emerald[2]));
      // yet none goes black
      expect(Math.max(...ruby)).toBeGreaterThan(0.4);
      expect(Math.max(...sapphire)).toBeGreaterThan(0.4);
      expect(Math.max(...emerald)).toBeGreaterThan(0.4);
    }
  });

  it('nothing glows, and every value names its source', () => {
    for (const s of rows) {
      for (const a of s.absorption) expect(a, s.id).toBeGreaterThanOrEqual(0);
      for (const source of Object.values(s.sources)) expect(source.length, s.id).toBeGreaterThan(5);
    }
  });
});

describe('declared names (US 16 CFR 23.12, 23.25; ISO 18323)', () => {
  it('puts the origin beside the name', () => {
    expect(declaredStone('ruby', 'natural')).toBe('natural ruby');
    expect(declaredStone('diamond', 'laboratory-grown')).toBe('laboratory-grown diamond');
    expect(declaredStone('cubic-zirconia', 'simulant')).toBe('cubic zirconia (simulant)');
  });

  it('puts treatments before them, and says where nobody knows', () => {
    expect(declaredStone('ruby', 'natural', ['heated'])).toBe('heated natural ruby');
    expect(declaredStone('black-diamond', 'natural', ['irradiated', 'heated'])).toBe(
      'irradiated and heated natural black diamond',
    );
    expect(declaredStone('emerald', 'natural', ['undetermined'])).toBe(
      'natural emerald (treatment undetermined)',
    );
    expect(chosenStone('sapphire-blue', 'natural', ['heated'])).toBe('heated blue sapphire');
    expect(chosenStone('diamond', 'laboratory-grown')).toBe('laboratory-grown diamond');
  });

  // ISO 18323 calls it a simulant; "laboratory-grown" would name a stone that nature has
  it('never calls zirconia grown in a laboratory', () => {
    expect(STONES.get('cubic-zirconia')?.origins).toEqual(['simulant']);
    expect(() => declaredStone('cubic-zirconia', 'laboratory-grown')).toThrow(RangeError);
  });

  it('tells mined from grown and sapphires by colour in short forms, each of its own', () => {
    expect(stoneSlug('diamond', 'natural')).toBe('DIA');
    expect(stoneSlug('diamond', 'laboratory-grown')).toBe('LGD');
    const slugs = rows.flatMap((s) =>
      s.origins.filter((o) => o !== 'simulant').map((o) => stoneSlug(s.id, o)),
    );
    expect(new Set(slugs).size).toBe(slugs.length);
    expect(slugs).toEqual(expect.arrayContaining(['SAPBL', 'SAPPK', 'LGSAPBL', 'LGRUB']));
  });

  it('refuses origins that a row’s density and index do not hold for', () => {
    expect(() => declaredStone('diamond', 'simulant')).toThrow(RangeError);
    expect(() => declaredStone('cubic-zirconia', 'natural')).toThrow(RangeError);
    expect(() => declaredStone('glass', 'simulant')).toThrow(RangeError);
  });

  it('every stone can be declared as something', () => {
    for (const s of rows)
      expect(
        s.origins.some((o) => STONE_ORIGINS.includes(o)),
        s.id,
      ).toBe(true);
  });
});
