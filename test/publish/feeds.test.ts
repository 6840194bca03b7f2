/** What shops import: titles, an import of products and variants, and what changed since. */
import { describe, expect, it } from 'vitest';
import {
  CATALOGUE_VERSION,
  type Catalogue,
  type CatalogueEntry,
} from '../../pipeline/facts/catalogue-schema.ts';
import { FEED } from '../../pipeline/plan/plan.ts';
import { compare, nextChanges } from '../../pipeline/publish/changes.ts';
import { feedCsv } from '../../pipeline/publish/feed-csv.ts';
import { feedTitles } from '../../pipeline/publish/feed-titles.ts';
import { importCsv } from '../../pipeline/publish/import-csv.ts';
import { localeOf } from '../../pipeline/words/locale.ts';
import { parseCsv } from './parse-csv.ts';
import { SAMPLE_SHOP, sampleBand } from './sample-items.ts';

const NAMES = { YW: 'Yellow and white', WY: 'White and yellow' };

function item(size: number, metal: keyof typeof NAMES, finish: string, width = 4.7): CatalogueEntry {
  const sku = `R-${size}-${metal}-${finish}-${width}`;
  const band = sampleBand(sku, {
    axes: { size: `ISO ${size}`, width: `${width} mm`, metal: NAMES[metal], finish },
    circumferenceMm: size,
    widthMm: width,
    sizes: [{ system: 'iso', label: 'ISO 8653', text: `ISO ${size}` }],
    finishes: [{ finish, name: finish, lanes: ['left', 'right'] }],
    price: { total: 1000 + size, currency: 'EUR' },
  });
  const pictures = [
    {
      file: `${sku}/${sku}-front_feed-1500.jpg`,
      role: 'extra' as const,
      name: FEED,
      format: 'jpeg' as const,
      width: 1500,
      height: 1500,
      bytes: 9,
      sha256: 'a'.repeat(64),
    },
  ];
  const noise = { target: 0.02, reached: 0.02, passes: 9 };
  return {
    sku,
    kind: 'variant',
    title: NAMES[metal],
    bands: [band],
    shots: [{ name: 'front', label: 'Front', noise, pictures }],
    cautions: [],
    keys: {},
    versions: {},
  };
}

const axis = (name: string, labels: string[]) => ({
  name,
  values: labels.map((label) => ({ label, slug: label })),
});
const AXES = [
  axis('size', ['ISO 54', 'ISO 56']),
  axis('width', ['4.7 mm', '6 mm']),
  axis('metal', Object.values(NAMES)),
  axis('finish', ['polished', 'satin']),
];
const ITEMS = [54, 56].flatMap((size) =>
  (['YW', 'WY'] as const).flatMap((metal) =>
    ['polished', 'satin'].flatMap((finish) => [4.7, 6].map((width) => item(size, metal, finish, width))),
  ),
);
const catalogue = (items = ITEMS): Catalogue => ({
  version: CATALOGUE_VERSION,
  catalogue: 'rings',
  title: 'Rings',
  workshop: 'Workshop',
  axes: AXES,
  items,
  models: [],
  cautions: [],
});
const table = (text: string) => {
  const [names, ...rows] = parseCsv(text);
  return rows.map((row) => Object.fromEntries(names.map((n, i) => [n, row[i]])));
};

describe('titles of the feed', () => {
  it('are all different, say size, width and finish, and are 150 characters at most (answer/7052112)', () => {
    const titles = feedTitles(ITEMS, AXES, localeOf('en'));
    expect(new Set(titles.values()).size).toBe(ITEMS.length);
    for (const title of titles.values()) expect(title.length).toBeLessThanOrEqual(150);
    expect(titles.get('R-54-YW-satin-6')).toBe(
      'Wedding band, 18k yellow gold, 750, set with Natural diamond, 6 mm wide, Yellow and white, satin, ISO 54',
    );
  });

  it('cut what is long before what tells apart', () => {
    const long = ITEMS.map((entry) => ({
      ...entry,
      bands: [
        {
          ...entry.bands[0],
          metals: Array.from({ length: 6 }, (_, i) => ({
            ...entry.bands[0].metals[0],
            name: `18 carat yellow gold of sort ${i}`,
          })),
        },
      ],
    }));
    const titles = [...feedTitles(long, AXES, localeOf('en')).values()];
    expect(Math.max(...titles.map((t) => t.length))).toBeLessThanOrEqual(150);
    expect(new Set(titles).size).toBe(ITEMS.length);
    for (const title of titles) expect(title).toMatch(/ (carat|yellow|gold|of|sort|\d|18)…, .*ISO 5[46]$/);
  });
});

describe('feed.csv', () => {
  it('has all that is demanded, and a pattern and a width for each', () => {
    const rows = table(feedCsv(catalogue(), { ...SAMPLE_SHOP, availability: 'in-stock' }));
    expect(rows).toHaveLength(ITEMS.length);
    // support.google.com/merchants/answer/7052112: required of all, and of clothing and jewellery; from memory
    const required = [
      'id',
      'title',
      'description',
      'link',
      'image_link',
      'availability',
      'price',
      'brand',
      'mpn',
      'condition',
      'age_group',
      'gender',
      'color',
      'size',
      'item_group_id',
    ];
    for (const row of rows) {
      for (const name of required.filter((n) => n !== 'color')) expect(row[name], name).toBeTruthy();
      expect(row.link).toBe(`https://example.com/bands/products/${row.mpn}.html`);
      expect(['polished', 'satin']).toContain(row.pattern);
      // section:name:value, parted by commas (answer/9218260, from memory)
      for (const detail of row.product_detail.split(',')) expect(detail.split(':')).toHaveLength(3);
      expect(row.product_detail).toMatch(/^Measures:Width:(4\.7|6) mm,/);
    }
    // members of a group differ in an attribute that readers of product data take (answer/6324507)
    const told = rows.map((r) => [r.item_group_id, r.size, r.color, r.material, r.pattern].join('|'));
    expect(new Set(told).size).toBe(rows.length);
  });
});

describe('shop-import.csv', () => {
  const rows = table(importCsv(catalogue(), SAMPLE_SHOP));

  it('has a line for each product, then its variants, told apart by their options', () => {
    const parents = rows.filter((r) => r.type === 'parent');
    // polished and satin ones are designs of their own
    expect(parents.map((r) => r.title)).toEqual(['Rings, polished', 'Rings, satin']);
    expect(parents.map((r) => [r.option1_name, r.option2_name, r.option3_name])).toEqual([
      ['metal', 'width', 'size'],
      ['metal', 'width', 'size'],
    ]);
    for (const parent of parents) {
      const own = rows.filter((r) => r.type === 'variant' && r.parent_sku === parent.sku);
      expect(own).toHaveLength(8);
      const options = own.map((r) => [r.option1_value, r.option2_value, r.option3_value].join('|'));
      expect(new Set(options).size).toBe(8);
      expect(rows.indexOf(own[0])).toBe(rows.indexOf(parent) + 1);
    }
    expect(new Set(rows.map((r) => r.sku)).size).toBe(rows.length);
  });

  it('has prices as plain figures, whole addresses and unmarked pictures', () => {
    const row = rows.find((r) => r.sku === 'R-54-YW-satin-6')!;
    expect([row.price, row.currency]).toEqual(['1054.00', 'EUR']);
    expect(row.image).toBe('https://example.com/bands/R-54-YW-satin-6/R-54-YW-satin-6-front_feed-1500.jpg');
    expect(row.url).toBe('https://example.com/bands/products/R-54-YW-satin-6.html');
    // 3.1 g of metal and 0.574 ct, of which five are a gram
    expect(row.weight_g).toBe('3.21');
  });

  it('leaves out what is held back', () => {
    const check = {
      rule: 'girdle-gap',
      severity: 'error' as const,
      passed: false,
      limit: '',
      measured: '',
      place: '',
      source: '',
    };
    const items = ITEMS.map((entry, i) =>
      i === 0 ? { ...entry, bands: [{ ...entry.bands[0], checks: [check] }] } : entry,
    );
    expect(table(importCsv(catalogue(items), SAMPLE_SHOP)).filter((r) => r.type === 'variant')).toHaveLength(
      15,
    );
  });
});

describe('changes.json', () => {
  const [a, b, c] = ITEMS;

  it('tells what came, went, changed and in what, and what is only called otherwise', () => {
    const dearer = { ...b, bands: [{ ...b.bands[0], price: { total: 2, currency: 'EUR' } }] };
    const renamed = { ...c, sku: 'NEW', bands: [{ ...c.bands[0], sku: 'NEW' }] };
    expect(compare([a, b, c], [dearer, renamed, ITEMS[3]])).toEqual({
      added: [ITEMS[3].sku],
      removed: [a.sku],
      renamed: [{ from: c.sku, to: 'NEW' }],
      changed: [{ sku: b.sku, what: ['price'] }],
    });
  });

  it('keeps steps from state to state, so that who missed some can follow', () => {
    const at = (items: CatalogueEntry[]) => ({ catalogue: catalogue(items), text: JSON.stringify(items) });
    const texts = [[a], [a, b], [b]].map(at);
    let kept: string | undefined;
    texts.forEach((now, i) => {
      kept = JSON.stringify(nextChanges(texts[i - 1], kept, now));
      // a second run changes nothing, nor does one that ended before catalogue.json was written
      expect(JSON.stringify(nextChanges(now, kept, now))).toBe(kept);
      expect(JSON.stringify(nextChanges(texts[i - 1], kept, now))).toBe(kept);
    });
    // a step that was told and never came to stand is forgotten; where all is forgotten everything is added
    const other = nextChanges(texts[1], kept, at([a, b, c]));
    expect(other.steps.map((s) => [s.added, s.removed])[0]).toEqual([[c.sku], []]);
    expect(other.steps).toHaveLength(3);
    expect(nextChanges(texts[1], undefined, texts[2]).steps).toMatchObject([{ from: null, added: [b.sku] }]);
    const { state, steps } = JSON.parse(kept!);
    expect(steps.map((s: { added: string[]; removed: string[] }) => [s.added, s.removed])).toEqual([
      [[], [a.sku]],
      [[b.sku], []],
      [[a.sku], []],
    ]);
    expect([steps[0].to, steps[0].from, steps[2].from]).toEqual([state, steps[1].to, null]);
  });
});
