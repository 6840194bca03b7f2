/** English left over in what is said in German. */
import { expect } from 'vitest';
import { englishPieces, foundEnglish } from '../trade/english-words.ts';

const PIECES = englishPieces();
/** The maker's own words: names of a template's parts, and how the page names what is not made of words. */
const OWN = /near-shore|far-shore|\btide\b|\bcrest\b|Source Sans/g;

export function expectGerman(text: string, what: string): void {
  // references are citations: addresses stay as they are
  const words = text.replace(/\S+\.\S+\/\S+/g, ' ').replace(OWN, ' ');
  expect(foundEnglish(words, PIECES), what).toEqual([]);
}

/** What stands in a file of HTML, its attributes for people and its drawings. */
export function textOf(html: string): string {
  const bare = html.replace(/<style>[\s\S]*?<\/style>/g, '').replace(/data:[^"]*/g, '');
  const labels = [...bare.matchAll(/(?:alt|aria-label|title)="([^"]*)"/g)].map((m) => m[1]);
  return [bare.replace(/<[^>]+>/g, '\n'), ...labels].join('\n');
}
