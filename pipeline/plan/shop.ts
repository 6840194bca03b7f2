import { MARKETS } from '../trade/market.ts';
import type { Config } from './config-schema.ts';
import { FEED_ID_LENGTH, shortId } from './feed-id.ts';
import type { Findings } from './findings.ts';
import {
  FEED,
  type FramePlan,
  type ImageOutput,
  type PlanClients,
  type PlanGrid,
  type PlanPictures,
  type ShopPlan,
  type ShotPlan,
} from './plan.ts';

/**
 * Least width of a feed picture. Public product image rules recommend 1500 × 1500 px and will ask for 500 × 500 from
 * 31 January 2027 (support.google.com/merchants/answer/6324350).
 */
export const FEED_WIDTH = 1500;

/**
 * A square round the band. The product should take no less than 75 % and no more than 90 % of the picture
 * (support.google.com/merchants/answer/6324350); the frame is cut tighter than traced, or wider where that is needed
 * to reach the wanted width without enlarging, and stays clear of both bounds.
 */
const FEED_FRAME: FramePlan = { aspect: [1, 1], fill: 0.84, leastFill: 0.76, orWhole: true };

/**
 * What the shop needs. Without an address no feed can be written, since its links must be absolute.
 * @param images the feed's pictures are added: without watermark, beside the others
 */
export function planShop(
  { shop, market }: Config,
  shots: readonly ShotPlan[],
  images: ImageOutput[],
  findings: Findings,
): ShopPlan | undefined {
  if (!shop) return undefined;
  const { page, enquire, brand, picture } = shop;
  const baseUrl = shop['base-url'];
  const { availability, 'available-from': availableFrom } = shop;
  const plan: ShopPlan = {
    brand,
    page,
    ...(enquire ? { enquire } : {}),
    sizeSystem: shop['size-system'] ?? MARKETS.get(market ?? '')?.sizes ?? 'iso',
    gender: shop.gender,
    category: shop.category,
    partNumbers: shop['part-numbers'],
    baseUrl,
    ...(availability ? { availability } : {}),
    ...(availableFrom ? { availableFrom } : {}),
  };
  checkAvailability(plan, findings);
  if (baseUrl === undefined) {
    findings.add({
      code: 'feed-without-address',
      severity: 'warning',
      path: ['shop'],
      expected: 'base-url, the address at which the catalogue folder will stand',
      received: 'none',
      advice: 'No feed is written, since its links must be absolute. Add "base-url" to get one.',
    });
    return plan;
  }
  if (page !== undefined && !page.includes('{sku}'))
    findings.add({
      code: 'page-without-sku',
      path: ['shop', 'page'],
      expected: 'an address with {sku} in it',
      received: JSON.stringify(page),
      advice: 'Write {sku} where each product’s SKU stands.',
    });
  if (images.some((i) => i.name === FEED))
    findings.add({
      code: 'image-outputs-alike',
      path: ['outputs', 'images'],
      expected: `a name other than "${FEED}"`,
      received: `an output named "${FEED}"`,
      advice: 'The shop’s feed makes that output itself: rename yours.',
    });
  warnOfSmall(shots, picture.width, findings);
  const { format, quality, width } = picture;
  images.push({ name: FEED, format, widths: [width], quality, frame: FEED_FRAME, watermark: false });
  return plan;
}

function checkAvailability({ availability, availableFrom }: ShopPlan, findings: Findings): void {
  if ((availability === 'preorder' || availability === 'backorder') && availableFrom === undefined)
    findings.add({
      code: 'no-availability-date',
      path: ['shop', 'availability'],
      expected: `"available-from" beside ${availability}, as product data rules demand`,
      received: 'none',
      advice: 'Add available-from: the day from which bands are sent, such as 2026-12-31.',
    });
}

/** What a feed would lack, told while nothing is traced yet. */
export function checkFeed(
  plan: Pick<PlanClients, 'shop' | 'price'> & Pick<PlanGrid, 'variants'> & Pick<PlanPictures, 'takes'>,
  findings: Findings,
): void {
  const { shop, price, variants, takes } = plan;
  if (shop?.baseUrl === undefined) return;
  // support.google.com/merchants/answer/7052112: availability and price of every product; links lead to our own pages at least
  const lacking = [
    ...(shop.availability === undefined ? ['availability (shop.availability)'] : []),
    ...(price === undefined ? ['price (price)'] : []),
  ];
  if (lacking.length > 0)
    findings.add({
      code: 'feed-incomplete',
      severity: 'warning',
      path: ['shop'],
      expected: 'availability and price, which product data rules demand of every product',
      received: `none to make these columns from: ${lacking.join(', ')}`,
      advice: 'Give what stands in brackets, or let the shop add these columns before it submits the feed.',
    });
  const pictured = new Set(
    takes
      .filter((t) => t.shot.view !== 'pair')
      .flatMap((t) => t.colourways.flatMap((c) => c.pictures.map((p) => p.sku))),
  );
  const without = variants.filter((v) => !pictured.has(v.sku));
  if (without.length > 0)
    findings.add({
      code: 'feed-without-picture',
      severity: 'warning',
      path: ['shots'],
      expected: 'a picture of its own for every variant, without which it stands in no feed',
      received: `none of ${without[0].sku}${without.length > 1 ? ` and ${without.length - 1} more` : ''}`,
      advice: 'Add a shot of single bands, or widen the "when" of one.',
    });
  const alike = alikeIds(variants.map((v) => v.sku));
  if (alike)
    findings.add({
      code: 'feed-ids-alike',
      path: ['sku'],
      expected: `SKUs that stay apart in the ${FEED_ID_LENGTH} characters of a feed’s id`,
      received: `${alike.join(' and ')}, both ${shortId(alike[0])}`,
      advice: `Shorten the pattern or the slugs: SKUs of at most ${FEED_ID_LENGTH} characters are taken as they are.`,
    });
}

/** The first two SKUs whose ids in the feed are one. */
export function alikeIds(skus: readonly string[]): [string, string] | undefined {
  const taken = new Map<string, string>();
  for (const sku of skus) {
    const before = taken.get(shortId(sku));
    if (before !== undefined) return [before, sku];
    taken.set(shortId(sku), sku);
  }
  return undefined;
}

/** A width that the config names, from the 500 px on that will be asked for, is meant; frames must reach it. */
function warnOfSmall(shots: readonly ShotPlan[], width: number, findings: Findings): void {
  // of a turntable's frames the config has one shot
  let written = -1;
  shots.forEach((shot) => {
    if ((shot.turn?.frame ?? 1) === 1) written++;
    if (shot.view === 'pair' || shot.turn || shot.widthPx >= width) return;
    findings.add({
      code: 'feed-picture-small',
      severity: 'warning',
      path: ['shots', written],
      expected: `feed pictures ${width} px wide`,
      received: `${shot.widthPx} px, since pictures are never enlarged`,
      advice: `Give the shot a frame of ${width} px (product image rules recommend ${FEED_WIDTH}), or name a smaller shop.picture.width.`,
    });
  });
}
