/** How a metal surface is worked. */
export interface Finish {
  id: string;
  label: string;
  slug: string;
  /** Trowbridge–Reitz (GGX) α round the ring and across the band; equal for finishes without a direction */
  alphaX: number;
  alphaY: number;
  source: string;
}

/** α is judged by eye against photographs of finished bands; no standard gives it. */
const SOURCE = 'common practice';

const ROWS: Finish[] = [
  { id: 'polished', label: 'Polished', slug: 'pol', alphaX: 0.015, alphaY: 0.015, source: SOURCE },
  { id: 'satin', label: 'Satin', slug: 'sat', alphaX: 0.2, alphaY: 0.2, source: SOURCE },
  // the slopes of brush marks stand across them: marks round the ring spread light across the band
  { id: 'brushed', label: 'Brushed along', slug: 'bru', alphaX: 0.07, alphaY: 0.32, source: SOURCE },
  { id: 'brushed-across', label: 'Brushed across', slug: 'brx', alphaX: 0.32, alphaY: 0.07, source: SOURCE },
  // a fine glass-bead blast: broad, with a sheen left at glancing light
  { id: 'ice-matt', label: 'Ice-matt', slug: 'ice', alphaX: 0.3, alphaY: 0.3, source: SOURCE },
  { id: 'sandblasted', label: 'Sandblasted', slug: 'blast', alphaX: 0.42, alphaY: 0.42, source: SOURCE },
];

export const FINISHES: ReadonlyMap<string, Finish> = new Map(ROWS.map((f) => [f.id, f]));
