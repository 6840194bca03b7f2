import { degreesFromTop } from '../trade/degrees.ts';
import type { Locale } from './locale.ts';

/** An angle round the band (rad) as its reader writes it, such as `-48°` from the top. */
export function angleWords(theta: number, { number }: Pick<Locale, 'number'>): string {
  return `${number(degreesFromTop(theta), 0, 1)}°`;
}
