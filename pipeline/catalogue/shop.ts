import type { Config } from './config-schema.ts';
import type { Findings } from './findings.ts';
import { FEED, type FramePlan, type ImageOutput, type ShopPlan, type ShotPlan } from './plan.ts';

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
  { shop }: Config,
  shots: readonly ShotPlan[],
  images: ImageOutput[],
  findings: Findings,
): ShopPlan | undefined {
  if (!shop) return undefined;
  const { page, brand, picture } = shop;
  const baseUrl = shop['base-url'];
  const { availability, 'available-from': availableFrom } = shop;
  const plan: ShopPlan = {
    brand,
    page,
    sizeSystem: shop['size-system'],
    baseUrl,
    ...(availability ? { availability } : {}),
    ...(availableFrom ? { availableFrom } : {}),
  };
  if ((availability === 'preorder' || availability === 'backorder') && availableFrom === undefined)
    findings.add({
      code: 'no-availability-date',
      path: ['shop', 'availability'],
      expected: `"available-from" beside ${availability}, as product data rules demand`,
      received: 'none',
      advice: 'Add available-from: the day from which bands are sent, such as 2026-12-31.',
    });
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

/** A width that the config names, from the 500 px on that will be asked for, is meant; frames must reach it. */
function warnOfSmall(shots: readonly ShotPlan[], width: number, findings: Findings): void {
  shots.forEach((shot, i) => {
    if (shot.view === 'pair' || shot.widthPx >= width) return;
    findings.add({
      code: 'feed-picture-small',
      severity: 'warning',
      path: ['shots', i],
      expected: `feed pictures ${width} px wide`,
      received: `${shot.widthPx} px, since pictures are never enlarged`,
      advice: `Give the shot a frame of ${width} px (product image rules recommend ${FEED_WIDTH}), or name a smaller shop.picture.width.`,
    });
  });
}
