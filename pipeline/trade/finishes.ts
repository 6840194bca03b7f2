/** How a metal surface is worked. */
export interface Finish {
  id: string;
  label: string;
  slug: string;
  /** Trowbridge–Reitz (GGX) α along and across the brushing direction; equal for finishes without one */
  alphaX: number;
  alphaY: number;
  source: string;
}

/** α is judged by eye against photographs of finished bands; no standard gives it. */
const SOURCE = 'common practice';

const ROWS: Finish[] = [
  { id: 'polished', label: 'Polished', slug: 'pol', alphaX: 0.015, alphaY: 0.015, source: SOURCE },
  { id: 'satin', label: 'Satin', slug: 'sat', alphaX: 0.2, alphaY: 0.2, source: SOURCE },
  { id: 'brushed', label: 'Brushed', slug: 'bru', alphaX: 0.07, alphaY: 0.32, source: SOURCE },
  { id: 'sandblasted', label: 'Sandblasted', slug: 'blast', alphaX: 0.42, alphaY: 0.42, source: SOURCE },
];

export const FINISHES: ReadonlyMap<string, Finish> = new Map(ROWS.map((f) => [f.id, f]));
