/** What a reader loads before the first pictures, and that what comes packed is what was packed. */
import fc from 'fast-check';
import { expect, it } from 'vitest';
import type { Catalogue, CatalogueEntry } from '../../pipeline/facts/catalogue-schema.ts';
import { indexPage } from '../../pipeline/page/index-page.ts';
import { pack, unpack } from '../../pipeline/page/reader/packed.ts';
import { pageCode } from '../../pipeline/publish/page-files.ts';
import type { Language } from '../../pipeline/trade/words.ts';
import { sampleBand } from '../publish/sample-items.ts';

const SIZES = Array.from({ length: 10 }, (_, i) => `ISO ${48 + 2 * i}`);
const METALS = ['Yellow on white', 'Rose on white'];
const DESIGNS = Array.from({ length: 50 }, (_, i) => `Design number ${i}`);

/** 1,000 SKUs: fifty designs in two metals and ten sizes, or one design in a thousand sizes and metals. */
function range(designs: readonly string[], language: Language): Catalogue {
  const items = Array.from({ length: 1000 }, (_, i): CatalogueEntry => {
    const sku = `RANGE-${i}`;
    const axes = {
      size: SIZES[i % 10],
      metal: METALS[Math.floor(i / 10) % 2],
      shore: designs[Math.floor(i / 20) % designs.length],
    };
    const pictures = [960, 480, 320].map((width) => ({
      file: `${sku}/${sku}-three-quarter-${width}.webp`,
      role: width === 320 ? ('thumbnail' as const) : ('picture' as const),
      format: 'webp' as const,
      width,
      height: width,
      bytes: 1,
      sha256: String(i).padStart(64, '0'),
    }));
    const noise = { target: 0.02, reached: 0.02, passes: 9 };
    const alt = `A wedding band of ${axes.metal} with natural diamonds, three-quarter view on white`;
    return {
      sku,
      kind: 'variant',
      title: axes.metal,
      bands: [sampleBand(sku, { axes })],
      shots: [{ name: 'three-quarter', label: 'x', alt, noise, pictures }],
      cautions: [],
      keys: {},
      versions: {},
    };
  });
  const axis = (name: string, labels: readonly string[]) => ({
    name,
    values: labels.map((label) => ({ label, slug: label })),
  });
  return {
    version: 1,
    catalogue: 'range',
    title: 'The full range',
    workshop: 'Workshop',
    language,
    axes: [axis('size', SIZES), axis('metal', METALS), axis('shore', designs)],
    items,
    models: [],
    cautions: ['x'.repeat(900)],
  };
}

it.each([
  ['fifty designs', DESIGNS, 'en'],
  ['fifty designs', DESIGNS, 'de'],
  ['one design', ['One'], 'en'],
] as const)('index.html with 1,000 SKUs of %s is at most 100 kB', async (_, designs, language) => {
  const html = indexPage(range(designs, language), await pageCode());
  expect(Buffer.byteLength(html)).toBeLessThanOrEqual(100_000);
  // and it is no empty page: the first cards and their pictures are in it
  expect(html.match(/<li data-sku=/g)?.length).toBe(Math.min(6, designs.length));
});

it('items come out as they were packed, whatever their SKUs and values', () => {
  const value = fc.oneof(
    fc.string(),
    fc.double({ noNaN: true }),
    fc.array(fc.string()),
    fc.dictionary(
      fc.string().filter((k) => k !== '__proto__'),
      fc.string(),
    ),
  );
  const item = fc.record({
    sku: fc.stringMatching(/^[A-Z0-9-]{1,6}$/),
    a: value,
    b: value,
    c: fc.option(value, { nil: undefined }),
  });
  fc.assert(
    fc.property(fc.array(item), (items) => {
      const plain = JSON.parse(JSON.stringify(items));
      fc.pre(!JSON.stringify(items).includes('\\u0001'));
      expect(unpack(JSON.parse(JSON.stringify(pack(plain))))).toEqual(plain);
    }),
  );
});
