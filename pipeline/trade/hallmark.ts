import type { FineMetal } from './alloy.ts';

/** Where an article must be hallmarked, and below which mass of all its metal, stones excluded, it need not be. */
export interface HallmarkLaw {
  /** ISO 3166-1 alpha-2, in small letters */
  country: 'gb' | 'nl' | 'ie';
  /** grams; 0: every article; absent where marks are not compulsory for the metal */
  exemptBelowG: Readonly<Partial<Record<FineMetal, number>>>;
  source: string;
}

/** Information only, and far from all countries: local rules come first. */
export const HALLMARK_LAWS: readonly HallmarkLaw[] = [
  {
    country: 'gb',
    exemptBelowG: { gold: 1, silver: 7.78, platinum: 0.5, palladium: 1 },
    source: 'UK Hallmarking Act 1973: anchorcertacademy.net, exemption weights',
  },
  {
    country: 'nl',
    exemptBelowG: { gold: 1, silver: 8, platinum: 0.5 },
    source: 'Dutch Assay Act: ewnederland.nl/en/kennisbank, weight exemptions',
  },
  {
    country: 'ie',
    exemptBelowG: { gold: 0, silver: 0, platinum: 0 },
    source: 'no exemption by mass: jewelleryfocus.co.uk, guidance of the Dublin assay office',
  },
];
