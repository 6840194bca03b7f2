import Color from 'colorjs.io';
import { describe, expect, it } from 'vitest';
import { isRefused } from '../../pipeline/problem.ts';
import { ALLOYS } from '../../pipeline/trade/alloys.ts';
import { STONE_CARE } from '../../pipeline/trade/bench-care.ts';
import { boughtCarats } from '../../pipeline/trade/charted-weights.ts';
import { deltaE2000 } from '../../pipeline/trade/colour-difference.ts';
import { alloyColour, labOf } from '../../pipeline/trade/colour-table.ts';
import { chosenStone, stoneSlug } from '../../pipeline/trade/declared-stone.ts';
import { alphaFromAfar, FINISHES } from '../../pipeline/trade/finishes.ts';
import { MARKETS, markedBy } from '../../pipeline/trade/market.ts';
import { caratWording } from '../../pipeline/trade/mass.ts';
import { isCurrency, minorDigits, roundMoney } from '../../pipeline/trade/money.ts';
import { readRingSize } from '../../pipeline/trade/read-ring-size.ts';
import { allSizes } from '../../pipeline/trade/ring-size.ts';
import { STONES } from '../../pipeline/trade/stones.ts';
import { TEXTURES } from '../../pipeline/trade/textures.ts';
import { parkMiller } from '../park-miller.ts';

describe('ends of the ring size systems', () => {
  // common practice: gauges hold US 0–16, UK A–Z+6, JP 1–35, CH 1–40; ISO here from 36 to 80 mm round, wider than the
  // 41 to 76 of ISO 8653’s stick
  it.each([
    ['ISO 36', 'ISO 35.99'],
    ['ISO 80', 'ISO 80.01'],
    ['US 0', ''],
    ['US 16', 'US 16 1/4'],
    ['UK A', ''],
    ['UK Z+6', 'UK Z+6½'],
    ['JP 1', 'JP 0.5'],
    ['JP 35', 'JP 35.5'],
    ['CH 1', 'CH 3/4'],
    ['CH 40', 'CH 40 1/4'],
  ])('%s is taken and %s refused', (taken, refused) => {
    expect(readRingSize(taken)).not.toHaveProperty('problems');
    if (refused) expect(readRingSize(refused)).toMatchObject({ problems: [{ code: 'size-out-of-range' }] });
  });

  it('names whole millimetres of ISO (ISO 8653) and quarters of US and Swiss sizes', () => {
    const named = (mm: number) => Object.fromEntries(allSizes(mm).map((s) => [s.system, s.name]));
    expect(named(54.6).iso).toBe('ISO 55');
    expect(named(55.4).iso).toBe('ISO 55');
    // 54.42 mm is US 7 (en.wikipedia.org/wiki/Ring_size); a quarter size is 0.638 mm round
    expect(named(54.42).us).toBe('US 7');
    expect(named(55.06).us).toBe('US 7¼');
    expect(named(54.25).ch).toBe('CH 14¼');
  });
});

describe('written ring sizes', () => {
  const nameOf = (text: string) => {
    const reading = readRingSize(text);
    return isRefused(reading) ? reading.problems[0].code : reading.name;
  };

  it.each([
    // halves as signs, but of millimetres as decimals
    ['ISO 54.5', 'ISO 54.5'],
    ['US 7.5', 'US 7½'],
    ['US 1/2', 'US ½'],
    ['US', 'size-unreadable'],
    ['US 7.5 1/2', 'size-unreadable'],
    ['US 7.5½', 'size-unreadable'],
    ['US 7 2/2', 'size-unreadable'],
    ['US 7 3/4', 'US 7¾'],
    ['UK Z+0', 'size-unreadable'],
    ['UK N+1', 'size-unreadable'],
    ['UKN', 'UK N'],
    // a mark that runs on is another word
    ['CHF 14', 'size-unknown-system'],
    ['USN', 'size-unknown-system'],
    ['UKRAINE 7', 'size-unknown-system'],
  ])('%s is %s', (text, name) => {
    expect(nameOf(text)).toBe(name);
  });

  const problemOf = (text: string) => {
    const reading = readRingSize(text);
    if (!isRefused(reading)) throw new Error(`${text} was taken`);
    return reading.problems[0];
  };

  it('that are refused say what was expected and what to do', () => {
    expect(problemOf('UK 7').expected).toBe('UK followed by a letter, with ½ or not');
    expect(problemOf('US N').expected).toBe('US followed by a number');
    expect(problemOf('US 17').expected).toBe('a size from US 0 to US 16');
    // π · 25.4 · (0.458 + 0.032 · 17) mm; 17 mm could be a diameter, but it was said to be a US size
    expect(problemOf('US 17').advice).toBe('Check the system: that size would be 79.96 mm round.');
    expect(problemOf('ISO 17.2').advice).toContain('"17.2 mm diameter"');
    expect(problemOf('ISO 5').advice).toBe('Check the system: that size would be 5.00 mm round.');
    expect(problemOf('17.2 mm').advice).toContain('"17.2 mm diameter"');
    for (const text of ['17.2 mm circumference', '5 mm', 'diameter 60 mm'])
      expect(problemOf(text).advice).toBe('Bands are made from 36 to 80 mm round.');
  });

  it('are read up to sixty signs', () => {
    expect(problemOf('x'.repeat(60)).code).toBe('size-unknown-system');
    expect(problemOf('x'.repeat(61))).toMatchObject({
      code: 'size-unreadable',
      received: `"${'x'.repeat(60)}"`,
    });
    expect(problemOf(' ').advice).toBe('Write one size.');
  });
});

describe('how fineness is marked', () => {
  // members of the Hallmarking Convention of 1972 with France and Spain (from memory); 15 USC 294; Feingehaltsgesetz
  it.each([
    ['GB', 'office'],
    ['NL', 'office'],
    ['FR', 'office'],
    ['DE', 'maker'],
    ['US', 'maker'],
  ])('in %s by %s', (country, by) => {
    expect(markedBy({ country })).toBe(by);
  });

  it('is not known without a market', () => {
    expect(markedBy()).toBe('unknown');
  });
});

describe('markets', () => {
  // Unicode CLDR measurementData (from memory): inches in the United States alone; Canada is metric on US letter paper
  it('read inches in the United States only', () => {
    expect([...MARKETS.values()].filter(({ inches }) => inches).map(({ country }) => country)).toEqual([
      'US',
    ]);
  });

  it('print on US letter in the United States and Canada, on A4 (ISO 216) elsewhere', () => {
    const letter = [...MARKETS.values()].filter(({ paper }) => paper === 'letter');
    expect(letter.map(({ country }) => country).sort()).toEqual(['CA', 'US']);
  });
});

describe('wordings at their limits', () => {
  // US 16 CFR 23.18: two decimals, .005 rounds to .01
  it('of carats', () => {
    expect(caratWording(0.00499)).toBe('less than 0.01 ct');
    expect(caratWording(0.00501)).toBe('approx. 0.01 ct');
    expect(caratWording(0.005)).toMatch(/^approx\./);
    expect(caratWording(0)).toBe('no stones');
  });

  it('of stones with no declared origin, unknown ones and those whose origin does not hold', () => {
    expect(chosenStone('diamond', undefined)).toBe('diamond');
    expect(chosenStone('glass', 'simulant')).toBe('glass');
    expect(chosenStone('diamond', 'simulant')).toBe('diamond');
    // moissanite is grown whatever it is called
    expect(stoneSlug('moissanite', 'laboratory-grown')).toBe('MOI');
    expect(stoneSlug('ruby', undefined)).toBe('RUB');
  });

  it('of money: ISO 4217 codes and minor units, halves away from zero', () => {
    expect(isCurrency('EUR')).toBe(true);
    expect(isCurrency('eur')).toBe(false);
    expect(isCurrency('EURO')).toBe(false);
    expect(isCurrency('ZZZ')).toBe(false);
    expect([minorDigits('EUR'), minorDigits('JPY'), minorDigits('KWD')]).toEqual([2, 0, 3]);
    expect(roundMoney(1.005, 0.01)).toBe(1.01);
    expect(roundMoney(-2.5, 1)).toBe(-3);
    expect(roundMoney(0.1 + 0.2, 0.1)).toBe(0.3);
  });
});

describe('supplied weights', () => {
  // sizes are sold in steps of 0.05 mm at the finest: common practice
  const supplied = [
    { stone: 'diamond', cut: 'baguette', diameterMm: 1.5, lengthMm: 3, carats: 0.06 },
    { stone: 'diamond', cut: 'round-brilliant', diameterMm: 1.3, carats: 0.0111 },
  ];
  const from = (cut: string, diameterMm: number, lengthMm?: number) =>
    boughtCarats({ id: 'diamond', density: 3.52 }, { cut, diameterMm, lengthMm }, 0.5, supplied).from;

  it('hold for sizes that differ by arithmetic, and for no neighbouring one', () => {
    expect(from('baguette', 1.5 + 4.9e-3, 3 - 4.9e-3)).toBe('supplier');
    expect(from('baguette', 1.5 + 5.1e-3, 3)).toBe('solid');
    expect(from('baguette', 1.5 - 5.1e-3, 3)).toBe('solid');
    expect(from('baguette', 1.5, 3 + 5.1e-3)).toBe('solid');
    expect(from('round-brilliant', 1.3 - 4.9e-3)).toBe('supplier');
    expect(from('single-cut', 1.3)).toBe('solid');
  });

  it('with a length hold for no stone without one, nor the other way about', () => {
    expect(from('baguette', 1.5)).toBe('solid');
    expect(from('round-brilliant', 1.3, 1.3)).toBe('chart');
  });
});

describe('colours at the ends', () => {
  it('differ from grey as colorjs.io says', () => {
    const grey: [number, number, number] = [50, 0, 0];
    // greys on both sides, one grey, and hues on both sides of 0° with a mean beyond half a turn
    const pairs: [typeof grey, typeof grey][] = [
      [grey, [60, 0, 0]],
      [grey, [55, 12, -8]],
      [[55, -12, -0.5], grey],
      [[50, 30, -1], [50, 30, 1]], // biome-ignore format: a pair
      [[50, 0.4, -0.3], [52, 0.5, 0.2]], // biome-ignore format: a pair
      [[40, 10, -40], [45, 20, 30]], // biome-ignore format: a pair
    ];
    for (const [a, b] of pairs) {
      const expected = new Color('lab', a).deltaE(new Color('lab', b), '2000');
      expect(deltaE2000(a, b)).toBeCloseTo(expected, 9);
      expect(deltaE2000(b, a)).toBeCloseTo(expected, 9);
    }
  });

  it('of dark surfaces follow CIELAB’s straight part (CIE 15), as colorjs.io has it', () => {
    for (const linear of [
      [0.0005, 0.002, 0.004],
      [0.004, 0.0088, 0.0089],
      [0, 0.02, 0.3],
      [0.02, 0, 0.9],
    ] as const) {
      const reference = new Color('srgb-linear', [...linear]).to('lab-d65').coords;
      labOf([...linear]).forEach((c, i) => {
        expect(Math.abs(c - reference[i]!)).toBeLessThan(0.02);
      });
    }
  });

  it('are coded as IEC 61966-2-1 does: black zirconium’s oxide, and no code is past 255', () => {
    expect(alloyColour('zirconium-black').srgb[0]).toBe(
      Math.round(255 * (1.055 * 0.1259 ** (1 / 2.4) - 0.055)),
    );
    for (const id of ALLOYS.keys()) for (const c of alloyColour(id).srgb) expect(c).toBeLessThanOrEqual(255);
  });
});

describe('finishes', () => {
  // judged by eye against photographs (common practice): no outside values exist, so they are written down once more, that
  // none changes unseen. α round the ring and across, then marks: length round, across in mm, slopes round, across
  it.each([
    ['polished', 0.015, 0.015],
    ['satin', 0.18, 0.18, 0.02, 0.02, 0.09, 0.09],
    ['brushed', 0.07, 0.25, 3, 0.03, 0, 0.2],
    ['brushed-across', 0.25, 0.07, 0.03, 3, 0.2, 0],
    ['brushed-crosswise', 0.14, 0.14, 0.035, 0.035, 0.2, 0.2],
    ['brushed-in-circles', 0.1, 0.1, 1.1, 1.1, 0.22, 0.22],
    // dents: how much of their slope is a lean of their own
    ['ice-matt', 0.1, 0.1, 0.1, 0.1, 0.36, 0.36, 0.5],
    ['sandblasted', 0.24, 0.24, 0.055, 0.055, 0.42, 0.42, 0.15],
  ])('%s', (id, ...values) => {
    const { alphaX, alphaY, marks } = FINISHES.get(id)!;
    const of = marks ? [marks.along, marks.across, marks.slopeAlong, marks.slopeAcross, marks.tilt] : [];
    expect([alphaX, alphaY, ...of.filter((v) => v !== undefined)]).toEqual(values);
  });

  it('seen from afar widen by twice the variance of their marks’ slopes (α² = 2σ²; Walter and others 2007)', () => {
    // brushed along: 0.07 and √(0.25² + 2 · 0.25 · 0.2²)
    const { alphaX, alphaY } = alphaFromAfar(FINISHES.get('brushed')!);
    expect(alphaX).toBeCloseTo(0.07, 12);
    expect(alphaY).toBeCloseTo(Math.sqrt(0.0625 + 0.5 * 0.04), 12);
    expect(alphaFromAfar(FINISHES.get('polished')!)).toEqual({ alphaX: 0.015, alphaY: 0.015 });
  });

  it('strokes in circles widen it by noise along one line, found by drawing, half in either direction', () => {
    // Perlin's fade 3t² − 2t³ (1985)
    const next = parkMiller(7);
    const DRAWN = 100_000;
    let sum = 0;
    for (let n = 0; n < DRAWN; n++) {
      const t = next();
      const fade = t * t * (3 - 2 * t);
      const octave = () => (2 * next() - 1) * (1 - fade) + (2 * next() - 1) * fade;
      sum += octave() ** 2 + (0.6 * octave()) ** 2;
    }
    const finish = FINISHES.get('brushed-in-circles')!;
    const { alphaX, alphaY } = alphaFromAfar(finish);
    expect(alphaX).toBe(alphaY);
    const widened = (alphaX ** 2 - finish.alphaX ** 2) / (2 * finish.marks!.slopeAlong ** 2);
    expect(Math.abs(widened / (sum / DRAWN / 2) - 1)).toBeLessThan(0.03);
  });

  it('dents widen the lobe by the slopes of bowls about a jittered grid, found by drawing, and of even leans', () => {
    const next = parkMiller(1);
    const DRAWN = 40_000;
    let sum = 0;
    for (let n = 0; n < DRAWN; n++) {
      const [x, y] = [next(), next()];
      let nearest = [0, Number.POSITIVE_INFINITY];
      for (let i = -2; i <= 2; i++)
        for (let j = -2; j <= 2; j++) {
          const [dx, dy] = [i + next() - x, j + next() - y];
          if (dx * dx + dy * dy < nearest[1]) nearest = [dx, dx * dx + dy * dy];
        }
      sum += nearest[0] ** 2;
    }
    for (const id of ['ice-matt', 'sandblasted']) {
      const finish = FINISHES.get(id)!;
      const { tilt = Number.NaN, slopeAlong } = finish.marks!;
      // a bowl as deep as its radius is steep: its slope is twice the distance; a lean even in −1…1 has the variance 1/3
      const variance = (2 * (1 - tilt)) ** 2 * (sum / DRAWN) + tilt ** 2 / 3;
      const widened = (alphaFromAfar(finish).alphaX ** 2 - finish.alphaX ** 2) / (2 * slopeAlong ** 2);
      expect(Math.abs(widened / variance - 1)).toBeLessThan(0.03);
    }
  });
});

describe('textures', () => {
  // judged by eye against photographs (common practice): written once more, that none changes unseen; depth, size, mm
  it.each([
    ['bark', 0.16, 1.3],
    ['sand-cast', 0.1, 0.8],
    ['linen', 0.08, 0.6],
    ['florentine', 0.06, 0.4],
    ['motif', 0.12, 4],
    ['picture', 0.15, 4],
  ] as const)('%s', (id, depthMm, sizeMm) => {
    expect(TEXTURES[id]).toMatchObject({ depthMm, sizeMm });
  });
});

describe('stones that usually are treated', () => {
  // rubies and sapphires heated, emeralds oiled, aquamarines heated, morganites irradiated, black and champagne diamonds
  // treated for colour: from memory, trade practice
  it('must have it said', () => {
    const treated = [...STONES.values()].filter((s) => s.treated).map(({ id }) => id);
    expect(treated.sort().join(' ')).toBe(
      'aquamarine black-diamond champagne-diamond emerald morganite ruby sapphire-blue sapphire-pink',
    );
  });
});

describe('care of stones', () => {
  // Gems & Gemology 23 (durability); orchid 36223 and 70681; brittleness and cleavage: common practice and from memory
  it.each<[string, string]>([
    ['diamond', 'cleavable'],
    ['champagne-diamond', 'cleavable'],
    ['black-diamond', 'brittle cleavable heatShy'],
    ['moissanite', ''],
    ['ruby', ''],
    ['sapphire-blue', ''],
    ['sapphire-pink', ''],
    ['emerald', 'brittle heatShy oiled'],
    ['aquamarine', 'brittle heatShy'],
    ['morganite', 'brittle heatShy'],
    ['amethyst', 'brittle heatShy'],
    ['cubic-zirconia', 'brittle'],
  ])('%s: %s', (id, traits) => {
    const care = STONE_CARE.get(id)!;
    const told = Object.entries(care).flatMap(([trait, value]) => (value === true ? [trait] : []));
    expect(told.sort().join(' ')).toBe(traits);
  });
});
