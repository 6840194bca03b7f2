import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { isRefused } from '../../pipeline/problem.ts';
import { readRingSize } from '../../pipeline/trade/read-ring-size.ts';
import { allSizes, diameterOf, SIZE_SYSTEMS, type SizeSystemId } from '../../pipeline/trade/ring-size.ts';
import { sizeSlug } from '../../pipeline/trade/size-slug.ts';

function sizeOf(text: string) {
  const reading = readRingSize(text);
  if (isRefused(reading)) throw new Error(`${text}: ${reading.problems[0].code}`);
  return reading;
}

function codeOf(text: string): string {
  const reading = readRingSize(text);
  return isRefused(reading) ? reading.problems[0].code : `taken as ${reading.name}`;
}

function exactOf(circumferenceMm: number, system: SizeSystemId): number {
  return allSizes(circumferenceMm).find((s) => s.system === system)!.exact;
}

/**
 * Cross-reference of sizes: US, inner diameter mm, and what web charts print for UK, Japan and Switzerland.
 * Charts: "Ring size" (en.wikipedia.org/wiki/Ring_size, with liquisearch.com/ring_size/systems) and the
 * printable sizer cdn.shopify.com/…/0813/0628/8474/files/printableringsizer.pdf, which agree with each other.
 */
const CHART: [us: number, diameter: number, uk: string | undefined, jp: number, ch: number][] = [
  [3, 14.07, 'F', 4, 4.25],
  [4, 14.88, 'H', 7, 6.75],
  [5, 15.7, 'J½', 9, 9.25],
  [5.5, 16.1, 'K½', 10, 10.5],
  [6, 16.51, 'L½', 11, 11.75],
  [6.5, 16.92, 'M½', 13, 13.25],
  [7, 17.32, 'N½', 14, 14.5],
  [7.5, 17.73, 'O½', 15, 15.75],
  [8, 18.14, 'P½', 16, 17],
  [8.5, 18.54, 'Q½', 17, 18.25],
  [9, 18.95, 'R½', 18, 19.5],
  [9.5, 19.35, 'S½', 19, 20.75],
  [10, 19.76, 'T½', 20, 22],
  [11, 20.57, 'V½', 23, 24.75],
  [12, 21.39, 'X½', 25, 27.25],
  [13, 22.2, undefined, 27, 29.75],
];

describe('cross-reference of published charts', () => {
  it.each(CHART)('US %s is %s mm across', (us, diameter, uk, _jp, ch) => {
    const { circumferenceMm } = sizeOf(`US ${us}`);
    // the charts print two decimals
    expect(Math.abs(diameterOf(circumferenceMm) - diameter)).toBeLessThan(0.0051);
    // Switzerland: printed to quarters
    expect(Math.abs(exactOf(circumferenceMm, 'ch') - ch)).toBeLessThan(0.15);
    if (uk === undefined) return;
    const letter = sizeOf(`UK ${uk}`).circumferenceMm;
    // the charts skip I½, so that their letters up to I run larger than BS 6820's; from J on they agree
    const early = uk < 'J';
    expect(letter - circumferenceMm).toBeGreaterThan(early ? -0.55 : -0.35);
    expect(letter - circumferenceMm).toBeLessThan(early ? -0.29 : 0.35);
  });

  it.each(CHART)('US %s: Japanese column, one too low from US 9½ on', (us, _d, _uk, jp) => {
    const exact = exactOf(sizeOf(`US ${us}`).circumferenceMm, 'jp');
    if (us <= 9) expect(Math.abs(exact - jp)).toBeLessThan(0.9);
    else {
      expect(exact - jp).toBeGreaterThan(0.7);
      expect(exact - jp).toBeLessThan(1.65);
    }
  });

  // ISO 8653 circumference to diameter, "Ring size" as above
  it.each([
    [49, 15.6],
    [52, 16.6],
    [54, 17.2],
    [57, 18.1],
    [60, 19.1],
    [65, 20.7],
    [72, 22.9],
  ])('ISO %s is %s mm across', (iso, diameter) => {
    expect(Math.abs(diameterOf(sizeOf(`ISO ${iso}`).circumferenceMm) - diameter)).toBeLessThan(0.051);
  });

  // table of sizes 1–27 of a Japanese ring gauge, cdn.shopify.com/…/1/0557/6081/4159/files/1.pdf
  it.each([
    [1, 13.0],
    [7, 15.0],
    [10, 16.0],
    [13, 17.0],
    [20, 19.33],
  ])('JP %s is %s mm across', (jp, diameter) => {
    expect(Math.abs(diameterOf(sizeOf(`JP ${jp}`).circumferenceMm) - diameter)).toBeLessThan(0.05);
  });

  // BS 6820:1987 as reported: C is 40 mm round, 1.25 mm a letter, Z+1 after Z
  it.each([
    ['C', 40],
    ['C½', 40.625],
    ['N½', 54.375],
    ['Z', 68.75],
    ['Z+1', 70],
  ])('UK %s is %s mm round', (letter, mm) => {
    expect(sizeOf(`UK ${letter}`).circumferenceMm).toBeCloseTo(mm, 10);
  });
});

// zuzujewellery.com/pages/ring-sizes, inner diameters in mm; ringchart.co.uk has 61.4 mm round for T
it.each([
  ['J', 15.61],
  ['N', 17.18],
  ['T', 19.55],
  ['Z', 21.91],
])('UK %s is told to run 0.1 to 0.3 mm larger on charts in use', (letter, diameter) => {
  const larger = Math.PI * diameter - sizeOf(`UK ${letter}`).circumferenceMm;
  expect(larger).toBeGreaterThan(0.05);
  expect(larger).toBeLessThan(0.35);
  const { note } = SIZE_SYSTEMS.find((s) => s.id === 'uk')!;
  expect(note).toContain('0.1 to 0.3 mm larger (T is 61.25 mm round here, 61.4 mm there)');
});

describe('reading', () => {
  it.each([
    ['iso54', 'ISO 54'],
    ['ISO 8653-54', 'ISO 54'],
    ['US 7 1/2', 'US 7½'],
    ['US 7.5', 'US 7½'],
    ['USA 7½', 'US 7½'],
    ['Canada 6.25', 'US 6¼'],
    ['UK N 1/2', 'UK N½'],
    ['UKN½', 'UK N½'],
    ['au m', 'UK M'],
    ['IE Z+2½', 'UK Z+2½'],
    ['JP 13', 'JP 13'],
    ['NL 14', 'CH 14'],
    ['continental 14 3/4', 'CH 14¾'],
    ['54 mm circumference', 'ISO 54'],
    ['54 mm', 'ISO 54'],
    ['Ø 17.2 mm', 'ISO 54.04'],
    // circumference in mm by other names
    ['EU 54', 'ISO 54'],
    ['FR 53', 'ISO 53'],
    ['DE 53', 'ISO 53'],
    // one system alone can have meant these
    ['54', 'ISO 54'],
    ['N½', 'UK N½'],
  ])('%s is %s', (text, name) => {
    expect(sizeOf(text).name).toBe(name);
  });

  it('refuses a bare number that several systems know, with what each would be', () => {
    const reading = readRingSize('14');
    const advice = isRefused(reading) ? reading.problems[0].advice : '';
    expect(codeOf('14')).toBe('size-ambiguous');
    expect(advice).toContain('"US 14" (72.30 mm round)');
    expect(advice).toContain('"JP 14" (54.45 mm round)');
    expect(advice).toContain('"CH 14" (54.00 mm round)');
    expect(codeOf('30')).toBe('size-ambiguous');
    expect(codeOf('6.25')).toBe('size-ambiguous');
  });

  it('refuses every continental quarter that may be an inner diameter, and says how to write each', () => {
    for (let size = 16.25; size <= 22.75; size += 0.25) {
      const reading = readRingSize(String(size));
      const advice = isRefused(reading) ? reading.problems[0].advice : '';
      expect(codeOf(String(size)), String(size)).toBe('size-ambiguous');
      const written = [...advice.matchAll(/"([^"]+)" \(([\d.]+) mm round\)/g)];
      // what is advised reads back as what it is said to be; the two readings lie up to 9 mm apart
      for (const [, text, mm] of written) expect(sizeOf(text).circumferenceMm).toBeCloseTo(Number(mm), 2);
      expect(written.map(([, text]) => text)).toEqual(
        expect.arrayContaining([expect.stringMatching(/^CH /), `${size} mm diameter`]),
      );
    }
    expect(codeOf('17.2')).toBe('size-ambiguous');
  });

  it.each([
    ['', 'size-unreadable'],
    ['large', 'size-unknown-system'],
    ['UK', 'size-unreadable'],
    ['UK 12', 'size-unreadable'],
    ['US N', 'size-unreadable'],
    ['US -3', 'size-unreadable'],
    ['US 7 3/2', 'size-unreadable'],
    ['US 7.5½', 'size-unreadable'],
    ['UK Y+1', 'size-unreadable'],
    ['PL 54', 'size-unknown-system'],
    ['DE 17', 'size-out-of-range'],
    ['US 7.3', 'size-between-steps'],
    ['US 17', 'size-out-of-range'],
    ['ISO 12', 'size-out-of-range'],
    ['CH 54', 'size-out-of-range'],
    ['17.2 mm', 'size-out-of-range'],
    ['5 mm', 'size-out-of-range'],
    ['999', 'size-unreadable'],
  ])('refuses %j: %s', (text, code) => {
    expect(codeOf(text)).toBe(code);
  });

  it.each(['17.2 mm', '17.2', 'DE 17.2'])('tells %s, a bare diameter, how to say so', (text) => {
    const reading = readRingSize(text);
    expect(isRefused(reading) && reading.problems[0].advice).toContain('"17.2 mm diameter" (54.04 mm round)');
  });
});

describe('properties', () => {
  const circumference = fc.double({ min: 36, max: 80, noNaN: true });

  it('every name given reads back as the same size', () => {
    fc.assert(
      fc.property(circumference, (mm) => {
        for (const s of allSizes(mm)) {
          if (s.name === undefined) continue;
          const back = sizeOf(s.name);
          expect(back.system).toBe(s.system);
          expect(back.circumferenceMm).toBeCloseTo(s.nearestCircumferenceMm!, 9);
          expect(back.name).toBe(s.name);
        }
      }),
    );
  });

  it('a named size is never more than half a step away, and its deviation is what it says', () => {
    fc.assert(
      fc.property(circumference, (mm) => {
        for (const s of allSizes(mm)) {
          const system = SIZE_SYSTEMS.find((x) => x.id === s.system)!;
          const step = system.toCircumference(system.step) - system.toCircumference(0);
          expect(system.toCircumference(s.exact)).toBeCloseTo(mm, 9);
          if (s.deviationMm === undefined) continue;
          expect(Math.abs(s.deviationMm)).toBeLessThanOrEqual(step / 2 + 1e-9);
          expect(mm + s.deviationMm).toBeCloseTo(s.nearestCircumferenceMm!, 9);
        }
      }),
    );
  });

  it('never throws, whatever is written', () => {
    const alphabet = [...'ISOUKJPCHN0123456789.½¼¾/+- mØz'];
    const text = fc.array(fc.constantFrom(...alphabet), { maxLength: 12 }).map((c) => c.join(''));
    fc.assert(
      fc.property(fc.oneof(text, fc.string()), (t) => {
        const reading = readRingSize(t);
        if (!isRefused(reading)) {
          expect(reading.circumferenceMm).toBeGreaterThanOrEqual(36);
          expect(reading.circumferenceMm).toBeLessThanOrEqual(80);
        }
      }),
      { numRuns: 3000 },
    );
  });

  it('slugs are safe in file names and tell sizes of one system apart', () => {
    const slugs = new Set<string>();
    let count = 0;
    for (const system of SIZE_SYSTEMS) {
      for (let n = system.range[0]; n <= system.range[1]; n += system.step) {
        const size = allSizes(system.toCircumference(n)).find((s) => s.system === system.id)!;
        const slug = sizeSlug(sizeOf(size.name!));
        expect(slug).toMatch(/^[A-Z0-9.]+$/);
        slugs.add(slug);
        count++;
      }
    }
    expect(slugs.size).toBe(count);
  });
});

it('a bare 0 is no size: the one that has it must be named', () => {
  const reading = readRingSize('0');
  if (!isRefused(reading)) throw new Error(`taken as ${reading.name}`);
  expect(reading.problems).toHaveLength(1);
  expect(reading.problems[0]).toMatchObject({ code: 'size-ambiguous', received: '"0"' });
  expect(reading.problems[0].advice).toContain('"US 0"');
  expect(sizeOf('US 0').system).toBe('us');
});
