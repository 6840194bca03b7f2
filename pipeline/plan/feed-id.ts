import { createHash } from 'node:crypto';

/** Most characters of an id in product data (support.google.com/merchants/answer/7052112). */
export const FEED_ID_LENGTH = 50;

/** Digits of the hash: 48 bits, of which 20,000 SKUs share one with a chance of 1 in a million (birthday bound). */
const DIGITS = 12;

/**
 * The text itself if it is short enough; else its beginning and a hash of all of it, so that texts that begin alike stay
 * apart and none changes for another's sake: what was once submitted under an id must stay under it.
 */
export function shortId(text: string, most = FEED_ID_LENGTH): string {
  if (text.length <= most) return text;
  const hash = createHash('sha256').update(text).digest('hex').slice(0, DIGITS);
  return `${text.slice(0, most - DIGITS - 1)}-${hash}`;
}
