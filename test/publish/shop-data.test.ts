import { describe, expect, it } from 'vitest';
import {
  CATALOGUE_VERSION,
  type Catalogue,
  type PictureEntry,
} from '../../pipeline/facts/catalogue-schema.ts';
import { bandColours, bandDescription, caratRange, colourName } from '../../pipeline/facts/wording.ts';
import { shortId } from '../../pipeline/plan/feed-id.ts';
import { FEED } from '../../pipeline/plan/plan.ts';
import { alikeIds } from '../../pipeline/plan/shop.ts';
import { catalogueJsonLd } from '../../pipeline/publish/catalogue-jsonld.ts';
import { absoluteUrl, feedCsv, feedSize } from '../../pipeline/publish/feed-csv.ts';
import { feedWarnings } from '../../pipeline/run/feed-warnings.ts';
import { ALLOYS } from '../../pipeline/trade/alloys.ts';
import { cutAtWord } from '../../pipeline/words/cut-at-word.ts';
import { parseCsv } from './parse-csv.ts';
import { SAMPLE_SHOP, sampleBand, sampleItem } from './sample-items.ts';

const picture = (file: string, over: Partial<PictureEntry> = {}): PictureEntry => ({
  file,
  role: 'picture',
  format: 'webp',
  width: 900,
  height: 900,
  bytes: 9,
  sha256: 'a'.repeat(64),
  ...over,
});

function shot(sku: string, name: string) {
  const feed = { role: 'extra' as const, name: FEED, format: 'jpeg' as const, width: 1500, fill: 0.82 };
  return {
    name,
    label: 'Front view',
    alt: `Front view of ${sku}`,
    noise: { target: 0.02, reached: 0.018, passes: 90 },
    pictures: [
      picture(`${sku}/${sku}-${name}-450.webp`, { width: 450 }),
      picture(`${sku}/${sku}-${name}-900.webp`),
      picture(`${sku}/${sku}-${name}_feed-1500.jpg`, feed),
    ],
  };
}

function catalogue(workshop = 'Sample workshop'): Catalogue {
  const item = (sku: string, band = sampleBand(sku)) => ({
    sku,
    kind: 'variant' as const,
    title: sku,
    bands: [band],
    shots: [shot(sku, 'front'), shot(sku, 'flat-lay')],
    cautions: [],
    keys: {},
    versions: {},
  });
  const metals = [
    {
      alloy: 'white-18',
      name: '18 carat palladium white gold (750)',
      lanes: ['a'],
      volumeMm3: 50,
      massG: 0.8,
    },
    { alloy: 'yellow-18', name: '18 carat yellow gold (750)', lanes: ['b'], volumeMm3: 150, massG: 2.3 },
  ];
  const rows = [{ ...sampleBand('').rows[0], label: 'laboratory-grown diamond' }];
  return {
    version: CATALOGUE_VERSION,
    catalogue: 'sample',
    title: 'Sample bands',
    workshop,
    axes: [],
    items: [
      item('A-1', sampleBand('A-1', { metals, rows })),
      item('A-2', sampleBand('A-2', { metals, rows, circumferenceMm: 60, innerDiameterMm: 60 / Math.PI })),
      { ...item('P-1'), kind: 'pair', bands: [sampleBand('A-1'), sampleBand('A-2')] },
    ],
    models: [],
    cautions: [],
  };
}

const SHOP = SAMPLE_SHOP;
function withMetals(names: string[]): Catalogue {
  const metals = names.map((name, i) => ({
    alloy: 'yellow-18',
    name,
    lanes: [`${i}`],
    volumeMm3: 9,
    massG: 1,
  }));
  const [item] = catalogue().items;
  return { ...catalogue(), items: [{ ...item, bands: [{ ...item.bands[0], metals }] }] };
}

const table = (text: string) => {
  const [names, ...rows] = parseCsv(text);
  return rows.map((row) => Object.fromEntries(names.map((n, i) => [n, row[i]])));
};

describe('feed.csv', () => {
  it('has the columns and limits of the public product data specification', () => {
    // support.google.com/merchants/answer/7052112 (attributes), 6324507 (item_group_id, 50), 6324502 (size_system)
    const rows = table(feedCsv(catalogue(), { ...SHOP, page: 'https://example.com/p?sku={sku}' }));
    expect(rows.map((r) => r.id)).toEqual(['A-1', 'A-2']);
    for (const row of rows) {
      expect(row.item_group_id).toBe('sample');
      expect(row.title.length).toBeLessThanOrEqual(150);
      expect(row.description.length).toBeLessThanOrEqual(5000);
      expect(row.condition).toBe('new');
      // answer/6324479 (gender), 6324478 (identifier_exists), 6324436 (category, a path or number of the taxonomy)
      expect(row.gender).toBe('unisex');
      expect(row.google_product_category).toBe('Apparel & Accessories > Jewelry > Rings');
      expect([row.mpn, row.identifier_exists]).toEqual([row.id, 'yes']);
      expect(['AU', 'BR', 'CN', 'DE', 'EU', 'FR', 'IT', 'JP', 'MEX', 'UK', 'US']).toContain(row.size_system);
      for (const url of [row.link, row.image_link, ...row.additional_image_link.split(',')]) {
        expect(new URL(url).protocol).toBe('https:');
        expect(url).toMatch(/^[\x21-\x7e]{1,2000}$/);
      }
    }
    expect(rows[0].link).toBe('https://example.com/p?sku=A-1');
    expect(rows[0].material).toBe(
      '18 carat yellow gold (750)/18 carat palladium white gold (750)/laboratory-grown diamond',
    );
    expect(rows[0].color).toBe('yellow/white');
  });

  it('links the unmarked pictures only, in a format that feeds take', () => {
    const [row] = table(feedCsv(catalogue(), SHOP));
    expect(row.image_link).toBe('https://example.com/bands/A-1/A-1-front_feed-1500.jpg');
    expect(row.additional_image_link).toBe('https://example.com/bands/A-1/A-1-flat-lay_feed-1500.jpg');
    expect(absoluteUrl('https://example.com', 'a b,c/ü.jpg')).toBe(
      'https://example.com/a%20b%2Cc/%C3%BC.jpg',
    );
  });

  it('takes the teeth out of formulas in names (OWASP, CSV Injection)', () => {
    expect(table(feedCsv(catalogue('=HYPERLINK("x")'), SHOP))[0].brand).toBe(`'=HYPERLINK("x")`);
  });

  it('says that there are no part numbers where the maker says so', () => {
    const [row] = table(
      feedCsv(catalogue(), { ...SHOP, partNumbers: false, category: 200, gender: 'female' }),
    );
    expect([row.mpn, row.identifier_exists, row.google_product_category, row.gender]).toEqual([
      ...['', 'no', '200', 'female'],
    ]);
  });

  it('keeps ids of long SKUs apart, short and the same whoever else is there', () => {
    const long = (end: string) => `saltmarsh-harbour-lights-eighteen-carat-two-tone-wave-${end}`;
    const skus = ['54-WY', '54-YW', '56-WY', '56-YW'].map(long);
    const items = (names: string[]) => names.map((sku) => ({ ...catalogue().items[0], sku }));
    const ids = (names: string[]) =>
      table(feedCsv({ ...catalogue(), items: items(names) }, SHOP)).map((r) => r.id);
    expect(new Set(ids(skus)).size).toBe(4);
    for (const id of ids(skus)) expect(id).toMatch(/^[\x21-\x7e]{1,50}$/);
    expect(ids([skus[2]])).toEqual([ids(skus)[2]]);
    expect(shortId('A'.repeat(50))).toBe('A'.repeat(50));
    // whoever writes a short form as a SKU is told
    expect(alikeIds([skus[0], skus[1]])).toBeUndefined();
    expect(alikeIds([skus[0], shortId(skus[0])])).toEqual([skus[0], shortId(skus[0])]);
  });

  it('cuts at a word', () => {
    const text = `${'court '.repeat(24)}platinum, rose gold`;
    expect(cutAtWord(text, 150)).toBe(`${'court '.repeat(24).trim()}…`);
    expect(cutAtWord('word, word', 10)).toBe('word, word');
    expect(cutAtWord('word, wordy', 10)).toBe('word…');
    expect(cutAtWord('unbroken', 5)).toBe('unbr…');
    const [{ title }] = table(
      feedCsv(
        withMetals(Array.from({ length: 6 }, (_, i) => `18 carat yellow gold (750) of lane number ${i}`)),
        SHOP,
      ),
    );
    expect(title.length).toBeLessThanOrEqual(150);
    expect(title).toMatch(/ (carat|yellow|gold|\(750\)|of|lane|number|\d|and|18)…$/);
  });

  it('lets variants of a group differ in what product data can tell (answer/6324507)', () => {
    // a width and a finish are in no variant attribute; two alloys that change places are alike in all of them
    const two = ['54', '56'];
    const items = ['4', '6'].flatMap((width) =>
      two.flatMap((size) =>
        ['WY', 'YW', 'R'].map((metal) => {
          const alloy = metal === 'R' ? 'rose gold' : 'white and yellow gold';
          const sku = `${width}-${size}-${metal}`;
          const band = sampleBand(sku, {
            axes: { size, width, metal },
            circumferenceMm: Number(size),
            metals: [{ alloy: 'y', name: alloy, lanes: ['a'], volumeMm3: 9, massG: 3 }],
          });
          return { ...catalogue().items[0], sku, bands: [band] };
        }),
      ),
    );
    const axis = (name: string, labels: string[]) => ({
      name,
      values: labels.map((label) => ({ label, slug: label })),
    });
    const axes = [axis('size', two), axis('width', ['4', '6']), axis('metal', ['WY', 'YW', 'R'])];
    const rows = table(feedCsv({ ...catalogue(), axes, items }, SHOP));
    const told = rows.map((r) =>
      [r.item_group_id, r.size, r.color, r.material, r.gender, r.age_group].join('|'),
    );
    expect(new Set(told).size).toBe(rows.length);
    // each group holds the sizes of one band
    const groups = new Map(
      rows.map((r) => [r.item_group_id, rows.filter((o) => o.item_group_id === r.item_group_id)]),
    );
    for (const [id, members] of groups) {
      expect(id.length).toBeLessThanOrEqual(50);
      expect(members.length).toBeGreaterThanOrEqual(2);
    }
    expect([...groups.keys()]).toContain('sample-4-WY');
  });

  it('groups all sizes and metals of one band together where they can be told apart', () => {
    const rows = table(feedCsv(catalogue(), SHOP));
    expect(new Set(rows.map((r) => r.item_group_id))).toEqual(new Set(['sample']));
  });

  it('claims a named size only where the bore has it', () => {
    // US 7: inner diameter 0.458 + 0.032 · 7 = 0.682 in = 17.3228 mm (en.wikipedia.org/wiki/Ring_size)
    const us7 = sampleBand('x', { circumferenceMm: Math.PI * 25.4 * 0.682 });
    expect(feedSize(us7, 'us')).toEqual({ text: '7', system: 'US' });
    expect(feedSize(sampleBand('x', { circumferenceMm: 54.4 }), 'iso')).toEqual({
      text: '54.4',
      system: 'EU',
    });
  });
});

describe('wording', () => {
  it('puts fineness, declared origin, a tolerance and true sizes beside what they belong to', () => {
    // US 16 CFR 23.1, 23.3, 23.12, 23.18 as summarised in the module
    const text = bandDescription(catalogue().items[0].bands[0]);
    expect(text).toContain('18 carat yellow gold (750)');
    expect(text).not.toMatch(/(?<!laboratory-grown )diamond/);
    expect(text).toMatch(/Total weight of all stones approx\. 0\.57 ct, charted or computed and not weighed/);
    expect(text).toMatch(/computer renderings, shown larger than life/);
    expect(text).toContain('4.7 mm wide, 1.95 mm thick');
    expect(bandDescription(sampleBand('x', { rows: [], stoneCount: 0, totalCarats: 0 }))).not.toMatch(
      /Stones|\bct\b/,
    );
  });

  it('gives the range that the stones’ tolerance leads to: weight goes with the cube of the size', () => {
    // a 1.6 mm stone within 0.05 mm: (1.55/1.6)³ = 0.9092, (1.65/1.6)³ = 1.0967
    const { least, most } = caratRange(catalogue().items[0].bands[0]);
    expect(least / 0.574).toBeCloseTo(0.9092, 3);
    expect(most / 0.574).toBeCloseTo(1.0967, 3);
  });

  it('knows a colour for every alloy of the table', () => {
    for (const id of ALLOYS.keys()) expect(colourName(id), id).toBeDefined();
    expect(bandColours(sampleBand('x'))).toEqual([]);
  });
});

/** Properties that schema.org/<type> lists for each type that is used, inherited ones included. */
const DEFINED: Record<string, string[]> = {
  ProductGroup: ['productGroupID', 'name', 'description', 'brand', 'variesBy', 'hasVariant'],
  Brand: ['name'],
  Product: [
    'sku',
    'inProductGroupWithID',
    'name',
    'description',
    'url',
    'material',
    'color',
    'size',
    'width',
    'image',
    'subjectOf',
    'additionalProperty',
  ],
  SizeSpecification: ['name', 'sizeSystem', 'hasMeasurement'],
  QuantitativeValue: ['name', 'value', 'unitCode'],
  PropertyValue: ['name', 'value', 'unitCode'],
  ImageObject: [
    'contentUrl',
    'encodingFormat',
    'width',
    'height',
    'caption',
    'digitalSourceType',
    'creditText',
    'creator',
    'copyrightNotice',
    'license',
  ],
  Organization: ['name'],
  '3DModel': ['name', 'encoding'],
  MediaObject: ['contentUrl', 'encodingFormat'],
};

describe('catalogue.jsonld', () => {
  const read = (shop?: Parameters<typeof catalogueJsonLd>[1]['shop']) =>
    JSON.parse(
      catalogueJsonLd(catalogue(), { shop, credit: { source: 'digitalCreation', creator: 'Bench' } }),
    );

  it('uses only types and properties that schema.org defines, and UN/ECE unit codes', () => {
    const seen = new Set<string>();
    const visit = (node: unknown): void => {
      if (Array.isArray(node)) node.forEach(visit);
      else if (typeof node === 'object' && node !== null) {
        const { '@type': type, '@context': _, ...rest } = node as Record<string, unknown>;
        seen.add(String(type));
        for (const [key, value] of Object.entries(rest)) {
          expect(DEFINED[String(type)], `${type}.${key}`).toContain(key);
          // Recommendation 20: MMT millimetre, GRM gram, CTM metric carat, E37 pixel
          if (key === 'unitCode') expect(['MMT', 'GRM', 'CTM', 'E37']).toContain(value);
          visit(value);
        }
      }
    };
    visit(read());
    expect([...seen].sort()).toEqual(Object.keys(DEFINED).sort());
  });

  it('is one group of variants that vary by what really differs', () => {
    const group = read({ ...SHOP });
    expect(group.hasVariant.map((v: { sku: string }) => v.sku)).toEqual(['A-1', 'A-2']);
    expect(group.variesBy).toEqual(['https://schema.org/size']);
    const [first] = group.hasVariant;
    expect(first.image[0].contentUrl).toBe('https://example.com/bands/A-1/A-1-front-900.webp');
    expect(first.image[0].caption).toBe('Front view of A-1');
    expect(first.subjectOf.encoding.encodingFormat).toBe('model/gltf-binary');
    expect(first.additionalProperty).toContainEqual(
      expect.objectContaining({ value: 0.57, unitCode: 'CTM', name: expect.stringMatching(/approximate/) }),
    );
  });

  it('links relative to itself without an address', () => {
    expect(read().hasVariant[0].subjectOf.encoding.contentUrl).toBe('models/wave.glb');
  });
});

describe('feed pictures', () => {
  it('are told of when the band fills less than 75 % or more than 90 % of the frame', () => {
    const item = (sku: string, fill: number) => {
      const { pictures, ...rest } = sampleItem(sku).shots[0];
      return { ...sampleItem(sku), shots: [{ ...rest, pictures: [{ ...pictures[0], name: FEED, fill }] }] };
    };
    expect(feedWarnings([item('A', 0.75), item('B', 0.9)])).toEqual([]);
    const [line, ...more] = feedWarnings([item('A', 0.8), item('B', 0.6), item('C', 0.95)]);
    expect(more).toEqual([]);
    expect(line).toMatch(/front: the band takes 60 % of the frame in B and 1 more/);
  });
});
