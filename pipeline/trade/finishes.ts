/** Marks of the tool: size in mm and steepest slope, round the ring (along) and over the section (across). */
export interface ToolMarks {
  along: number;
  across: number;
  slopeAlong: number;
  slopeAcross: number;
}

/** How a metal surface is worked. */
export interface Finish {
  id: string;
  label: string;
  slug: string;
  /** Trowbridge–Reitz (GGX) α round the ring and across the band between the marks; equal without a direction */
  alphaX: number;
  alphaY: number;
  /** marks large enough to be seen at macro distance; none on a polished surface */
  marks?: ToolMarks;
  source: string;
}

/** α and marks are judged by eye against photographs of finished bands; no standard gives them. */
const SOURCE = 'common practice';

const even = (size: number, slope: number): ToolMarks => ({
  along: size,
  across: size,
  slopeAlong: slope,
  slopeAcross: slope,
});

// biome-ignore format: a table reads best as rows
const ROWS: Finish[] = [
  { id: 'polished', label: 'Polished', slug: 'pol', alphaX: 0.015, alphaY: 0.015, source: SOURCE },
  { id: 'satin', label: 'Satin', slug: 'sat', alphaX: 0.18, alphaY: 0.18, marks: even(0.05, 0.1), source: SOURCE },
  // the slopes of brush marks stand across them: marks round the ring spread light across the band
  { id: 'brushed', label: 'Brushed along', slug: 'bru', alphaX: 0.07, alphaY: 0.25, marks: { along: 3, across: 0.05, slopeAlong: 0, slopeAcross: 0.28 }, source: SOURCE },
  { id: 'brushed-across', label: 'Brushed across', slug: 'brx', alphaX: 0.25, alphaY: 0.07, marks: { along: 0.05, across: 3, slopeAlong: 0.28, slopeAcross: 0 }, source: SOURCE },
  // thousands of small dents, each brighter or darker than its neighbours: it glitters like frost
  { id: 'ice-matt', label: 'Ice-matt', slug: 'ice', alphaX: 0.2, alphaY: 0.2, marks: even(0.09, 0.24), source: SOURCE },
  // finer and flatter than the eye can part
  { id: 'sandblasted', label: 'Sandblasted', slug: 'blast', alphaX: 0.4, alphaY: 0.4, marks: even(0.06, 0.15), source: SOURCE },
];

export const FINISHES: ReadonlyMap<string, Finish> = new Map(ROWS.map((f) => [f.id, f]));

/**
 * α along and across as seen from afar, where marks are too small to tell: a lobe's α² and twice the variance of the
 * marks' slopes add up, as they do for Beckmann's lobe (α² = 2σ²; Walter et al., EGSR 2007). The variance of two
 * octaves of smooth noise of unit slope is (1 + 0.6²)/3 · (26/35)² = 0.25 (uniform values, ∫ of the fade curve squared).
 */
export function alphaFromAfar({ alphaX, alphaY, marks }: Finish): { alphaX: number; alphaY: number } {
  const wider = (alpha: number, slope = 0) => Math.sqrt(alpha ** 2 + 2 * 0.25 * slope ** 2);
  return { alphaX: wider(alphaX, marks?.slopeAlong), alphaY: wider(alphaY, marks?.slopeAcross) };
}
