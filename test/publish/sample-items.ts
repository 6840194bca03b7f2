/** Small items with true picture bytes, for tests of publishing. */
import { createHash } from 'node:crypto';
import type { BandFacts } from '../../pipeline/facts/catalogue-schema.ts';
import type { ShopPlan } from '../../pipeline/plan/plan.ts';
import type { CatalogueItem, CatalogueMeta, CataloguePicture } from '../../pipeline/publish/catalogue.ts';

export function samplePicture(
  content: string,
  role: 'picture' | 'thumbnail' = 'picture',
  width = 800,
): CataloguePicture {
  const data = Buffer.from(content);
  const sha256 = createHash('sha256').update(data).digest('hex');
  return { role, format: 'webp', extension: 'webp', width, height: width, bytes: data.length, sha256, data };
}

export function sampleBand(sku: string, over: Partial<BandFacts> = {}): BandFacts {
  return {
    sku,
    axes: { size: 'ISO 56', metal: 'Yellow & white' },
    innerDiameterMm: 56 / Math.PI,
    circumferenceMm: 56,
    widthMm: 4.7,
    thicknessMm: 1.95,
    sizes: [{ system: 'iso', label: 'ISO 8653', text: 'ISO 56' }],
    metals: [
      { alloy: 'y', name: '18k yellow gold, 750', lanes: ['left', 'right'], volumeMm3: 200, massG: 3.1 },
    ],
    metalMassG: 3.1,
    rows: [
      {
        name: 'centre',
        stone: 'd',
        label: 'Natural diamond',
        cut: 'round-brilliant',
        diameterMm: 1.6,
        count: 31,
        carats: 0.574,
      },
    ],
    stoneCount: 31,
    totalCarats: 0.574,
    checks: [],
    model: { file: 'models/wave.glb', variant: 'yellow_white' },
    ...over,
  };
}

/** As a config plans it that gives nothing but an address. */
export const SAMPLE_SHOP = {
  baseUrl: 'https://example.com/bands/',
  sizeSystem: 'iso',
  gender: 'unisex',
  category: 'Apparel & Accessories > Jewelry > Rings',
  partNumbers: true,
} as const satisfies ShopPlan;

export function sampleItem(sku: string, content = sku, over: Partial<CatalogueItem> = {}): CatalogueItem {
  return {
    sku,
    kind: 'variant',
    title: `Band ${sku}`,
    bands: [sampleBand(sku)],
    shots: [
      {
        name: 'front',
        label: 'Front view',
        noise: { target: 0.02, reached: 0.018, passes: 90 },
        pictures: [samplePicture(content), samplePicture(`${content} small`, 'thumbnail', 480)],
      },
    ],
    cautions: [],
    keys: { film: 'ab' },
    versions: { picture: '1' },
    ...over,
  };
}

export function sampleMeta(planned: string[], over: Partial<CatalogueMeta> = {}): CatalogueMeta {
  return {
    catalogue: 'sample',
    title: 'Sample bands',
    workshop: 'Sample workshop',
    axes: [{ name: 'size', values: [{ label: 'ISO 56', slug: '56' }] }],
    planned,
    models: [{ file: 'models/wave.glb', shape: 's', variants: ['yellow_white'], data: Buffer.from('glb') }],
    ...over,
  };
}
