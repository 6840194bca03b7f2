/**
 * swatches/colours.csv: the colour of each alloy that a catalogue uses, RFC 4180. It is the reflectance of the polished
 * metal at normal incidence, from which the pictures are traced: linear Rec. 709, sRGB codes and CIELAB (D65, 2°).
 */
import { alloyColour } from '../trade/colour-table.ts';
import type { Market } from '../trade/market.ts';
import { type Language, tradeWords } from '../trade/words.ts';
import { csvCell } from '../words/csv.ts';

const COLUMNS = [
  'alloy',
  'name',
  'linear_r',
  'linear_g',
  'linear_b',
  'srgb_r',
  'srgb_g',
  'srgb_b',
  'srgb_hex',
  'lab_l',
  'lab_a',
  'lab_b',
  'basis',
  'source',
] as const;

/** `basis` says whether the colour rests on published optical data or is unmeasured, from memory. */
export function coloursCsv(alloys: readonly string[], language: Language = 'en', market?: Market): string {
  const words = tradeWords(language, market);
  const rows = [...new Set(alloys)].sort().map((id) => {
    const { alloy, linear, srgb, lab } = alloyColour(id);
    const hex = `#${srgb.map((c) => c.toString(16).padStart(2, '0')).join('')}`;
    const numbers = [linear.map((v) => rounded(v, 4)), srgb, [hex], lab.map((v) => rounded(v, 2))].flat();
    return [id, words.alloy(id), ...numbers, alloy.colour, alloy.sources.f0].map(csvCell).join(',');
  });
  return `${[COLUMNS.join(','), ...rows].join('\r\n')}\r\n`;
}

function rounded(value: number, digits: number): number {
  return Number(value.toFixed(digits));
}
