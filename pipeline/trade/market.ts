import type { SizeSystemId } from './ring-size.ts';

/** Where a catalogue's clients live: how they name ring sizes, what paper they print on, what lengths they read. */
export interface Market {
  /** ISO 3166-1 alpha-2 */
  country: string;
  sizes: SizeSystemId;
  paper: PaperFormat;
  /** lengths in inches stand beside the millimetres */
  inches: boolean;
}

/** A ring's fineness is marked by an office of assay, or by its maker alone. */
export type MarkedBy = 'office' | 'maker' | 'unknown';

/**
 * Where an office assays and marks: members of the Hallmarking Convention of 1972 (hallmarkingconvention.org), with France
 * and Spain, which have offices of their own; from memory. Elsewhere makers mark by their own warrant, as in Germany
 * (Feingehaltsgesetz) and the United States (15 USC 294 ff.).
 */
const OFFICES = 'GB IE NL CH LI AT CZ PL PT DK SE NO FI FR ES'.split(' ');

export function markedBy(market?: Pick<Market, 'country'>): MarkedBy {
  if (!market) return 'unknown';
  return OFFICES.includes(market.country) ? 'office' : 'maker';
}

export type PaperFormat = 'a4' | 'letter';
export const PAPER_FORMATS = ['a4', 'letter'] as const satisfies readonly PaperFormat[];

/**
 * Ring sizes: users of each system as listed in `ring-size.ts`; circumference elsewhere in Europe is common practice.
 * Paper and inches: Unicode CLDR, supplemental measurementData (paperSize US-Letter, measurementSystem US), from memory.
 */
const ROWS: readonly [countries: string, sizes: SizeSystemId, paper: PaperFormat, inches: boolean][] = [
  ['US', 'us', 'letter', true],
  ['CA', 'us', 'letter', false],
  ['GB IE AU NZ', 'uk', 'a4', false],
  ['JP', 'jp', 'a4', false],
  ['CH LI IT ES NL', 'ch', 'a4', false],
  ['DE AT FR BE LU DK SE NO FI PL CZ PT GR', 'iso', 'a4', false],
];

export const MARKETS: ReadonlyMap<string, Market> = new Map(
  ROWS.flatMap(([countries, sizes, paper, inches]) =>
    countries.split(' ').map((country): [string, Market] => [country, { country, sizes, paper, inches }]),
  ),
);
