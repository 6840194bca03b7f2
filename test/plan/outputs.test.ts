import { describe, expect, it } from 'vitest';
import { pictureWords } from '../../pipeline/artefacts/picture-words.ts';
import { altText } from '../../pipeline/plan/alt-text.ts';
import { config, planOf, problemsOf } from './workspace.ts';

describe('image outputs', () => {
  it('inherit the watermark, switch it off or have their own, with logos found from the config', async () => {
    const { plan } = await planOf(
      config({
        watermark: 'watermark: { text: Trial }',
        outputs: `outputs:
  images:
    - { format: avif, widths: [600] }
    - { format: webp, widths: [600], name: press, watermark: false }
    - { format: webp, widths: [600], name: blog, watermark: { image: mark.svg } }`,
      }),
      {
        'mark.svg':
          '<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"><path d="M0 0H9V9Z"/></svg>',
      },
    );
    expect(plan.images.map((i) => i.watermark)).toEqual([
      undefined,
      false,
      expect.objectContaining({ image: expect.stringMatching(/\/workspace\/mark\.svg$/), size: 0.18 }),
    ]);
    expect(plan.files.some((f) => f.endsWith('mark.svg'))).toBe(true);
  });

  it('leave something for the catalogue’s own page', async () => {
    const only = 'outputs: { images: [{ format: webp, widths: [600], name: press }] }';
    expect((await problemsOf(config({ outputs: only }))).map((p) => p.code)).toEqual([
      'no-catalogue-picture',
    ]);
  });

  it('must not write one file twice, and need readable logos', async () => {
    const twice = await problemsOf(
      config({
        outputs:
          'outputs: { images: [{ format: webp, widths: [600] }, { format: webp, widths: [300, 600] }] }',
      }),
    );
    expect(twice.map((p) => [p.code, p.path])).toEqual([['image-outputs-alike', 'outputs.images[1]']]);
    const lost = await problemsOf(
      config({
        outputs: 'outputs: { images: [{ format: webp, widths: [600], watermark: { image: no.svg } }] }',
      }),
    );
    expect(lost.map((p) => [p.code, p.path])).toEqual([
      ['unreadable-logo', 'outputs.images[0].watermark.image'],
    ]);
  });
});

describe('credit', () => {
  it('is what the config says, a rendering made by people unless it says otherwise', async () => {
    expect((await planOf(config())).plan.credit).toEqual({ source: 'digitalCreation' });
    const text = 'credit: { creator: Trial, website: https://example.com/terms, source: algorithmic-media }';
    expect((await planOf(config({ credit: text }))).plan.credit).toEqual({
      creator: 'Trial',
      website: 'https://example.com/terms',
      source: 'algorithmicMedia',
    });
    for (const bad of ['javascript:alert(1)', 'ftp://example.com', 'example'])
      expect(await problemsOf(config({ credit: `credit: { website: "${bad}" }` }))).toHaveLength(1);
  });
});

describe('alternative texts', () => {
  it('name view, alloys with fineness, stones with their origin and cut, size and width', async () => {
    const { plan } = await planOf(
      config({
        origins: 'origins: { diamond: laboratory-grown, ruby: natural }',
        grid: `grid:
  size: [UK N½]
  metal: [{ label: Mixed, slug: M, value: { near-shore: white-18-rhodium, tide: yellow-18, far-shore: white-18-rhodium } }]
  stone: [diamond]`,
      }),
    );
    const [band] = plan.variants;
    const depicted = { band, design: plan.shapes[band.shape] };
    // US 16 CFR 23.3: fineness right beside the metal; 23.12: origin right before "diamond"
    expect(altText('flat-lay', [depicted])).toBe(
      'View from above of a wedding band: 18 carat palladium white gold (750), rhodium-plated and 18 carat yellow gold (750), ' +
        `set with laboratory-grown diamond (round brilliant), size UK N½, ${depicted.design.widthMm} mm wide.`,
    );
    const pair = altText('pair', [depicted, { band, design: { ...depicted.design, rows: [] } }]);
    expect(pair).toMatch(/^Pair of wedding bands: .*; .*\.$/);
    expect(pair.match(/diamond/g)).toHaveLength(1);
  });

  it('tell treatments before origins, and karat where the market spells it so', async () => {
    const { plan } = await planOf(
      config({ market: 'market: US', grid: 'grid: { size: [US 7], metal: [yellow-18], stone: [ruby] }' }),
    );
    const [band] = plan.variants;
    expect(band.axes).toMatchObject({ metal: 'Yellow gold 18 K', stone: 'Heated ruby' });
    expect(pictureWords(plan)(band.sku, 'front').alt).toContain(
      '18 karat yellow gold (750), set with heated natural ruby (round brilliant)',
    );
  });

  it('can be said in other words without touching what is depicted', async () => {
    const { plan } = await planOf(config());
    const [band] = plan.variants;
    const said = altText('front', [{ band, design: plan.shapes[band.shape] }], {
      picture: (view, bands) => `${view}|${bands.join('+')}`,
      band: (metals, stones, size, widthMm) => [...metals, ...stones, size, widthMm].join('|'),
      alloy: (id) => `<${id}>`,
      stone: (stone, origin, treatments, cut) => [...treatments, origin, stone, cut].join('/'),
    });
    expect(said).toMatch(/^front\|<yellow-18>\|natural\/diamond\/round-brilliant\|ISO 53\|/);
  });
});

describe('what the shop needs', () => {
  it('adds unmarked feed pictures, and says when they are smaller than image rules recommend', async () => {
    const { plan, warnings } = await planOf(
      config({
        frame: 'frame: 1600 px',
        shots: 'shots: [three-quarter, { name: small, view: front, frame: 900 px }]',
        shop: 'shop: { base-url: "https://example.com/bands", page: "https://example.com/{sku}" }',
      }),
    );
    expect(plan.images.at(-1)).toEqual({
      name: 'feed',
      format: 'jpeg',
      widths: [1500],
      quality: 90,
      frame: { aspect: [1, 1], fill: 0.84, leastFill: 0.76, orWhole: true },
      watermark: false,
    });
    expect(warnings.map((w) => [w.code, w.path])).toEqual([
      ['feed-picture-small', 'shots[1]'],
      ['feed-incomplete', 'shop'],
    ]);
  });

  it('writes no feed without an address and says so', async () => {
    const { plan, warnings } = await planOf(config({ shop: 'shop: { brand: Trial }' }));
    expect(plan.images.some((i) => i.name === 'feed')).toBe(false);
    expect(warnings.map((w) => w.code)).toEqual(['feed-without-address']);
    expect((await planOf(config())).plan.shop).toBeUndefined();
  });

  it('says before anything is traced what a feed would lack', async () => {
    const warned = async (lines: Record<string, string>) =>
      (await planOf(config({ frame: 'frame: 1500 px', ...lines }))).warnings.map(
        (w) => `${w.code}: ${w.received}`,
      );
    const address = 'base-url: "https://example.com/", page: "https://example.com/{sku}"';
    // links lead to pages of our own; availability and price are required of every product: support.google.com/merchants/answer/7052112
    expect(await warned({ shop: 'shop: { base-url: "https://example.com/" }' })).toEqual([
      'feed-incomplete: none to make these columns from: availability (shop.availability), price (price)',
    ]);
    const whole = {
      shop: `shop: { ${address}, availability: in-stock }`,
      price:
        'price: { currency: EUR, metals: { yellow-18: 80 /g, white-18: 90 /g }, stones: { diamond: { per-piece: 9 }, ruby: { per-piece: 7 } } }',
    };
    expect(await warned(whole)).toEqual([]);
    expect(await warned({ ...whole, shots: 'shots: [{ view: front, when: { size: ISO 53 } }]' })).toEqual([
      expect.stringMatching(/^feed-without-picture: none of trial-ISO60-.* and 3 more$/),
    ]);
  });

  it('takes the feed’s ring sizes from the market, unless the config names others', async () => {
    const sizes = async (market: string, own = '') =>
      (await planOf(config({ market, shop: `shop: { brand: Trial${own} }` }))).plan.shop?.sizeSystem;
    expect(await sizes('market: US')).toBe('us');
    expect(await sizes('market: GB')).toBe('uk');
    expect(await sizes('')).toBe('iso');
    expect(await sizes('market: US', ', size-system: iso')).toBe('iso');
  });

  it('refuses addresses that name no product or hide markup', async () => {
    const at = (page: string) =>
      problemsOf(
        config({
          frame: 'frame: 1500 px',
          shop: `shop: { base-url: "https://example.com/", page: "${page}" }`,
        }),
      );
    expect((await at('https://example.com/all')).map((p) => p.code)).toEqual(['page-without-sku']);
    expect(await at('javascript:{sku}')).toHaveLength(1);
    expect(await at('https://example.com/<{sku}>')).toHaveLength(1);
  });
});
