/** Marks of the tool: size in mm and steepest slope, round the ring (along) and over the section (across). */
export interface ToolMarks {
  along: number;
  across: number;
  slopeAlong: number;
  slopeAcross: number;
  /** of dents: 0 = bowls, 1 = flakes that lean as a whole; absent on strokes and grain */
  tilt?: number;
  /** strokes in two directions, 45° to either side; or in circles, as a turning brush leaves them spot by spot */
  strokes?: 'crossed' | 'circles';
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

const dents = (size: number, slope: number, tilt: number): ToolMarks => ({ ...even(size, slope), tilt });

// biome-ignore format: a table reads best as rows
const ROWS: Finish[] = [
  { id: 'polished', label: 'Polished', slug: 'pol', alphaX: 0.015, alphaY: 0.015, source: SOURCE },
  { id: 'satin', label: 'Satin', slug: 'sat', alphaX: 0.18, alphaY: 0.18, marks: even(0.02, 0.09), source: SOURCE },
  // the slopes of brush marks stand across them: marks round the ring spread light across the band
  { id: 'brushed', label: 'Brushed along', slug: 'bru', alphaX: 0.07, alphaY: 0.25, marks: { along: 3, across: 0.03, slopeAlong: 0, slopeAcross: 0.2 }, source: SOURCE },
  { id: 'brushed-across', label: 'Brushed across', slug: 'brx', alphaX: 0.25, alphaY: 0.07, marks: { along: 0.03, across: 3, slopeAlong: 0.2, slopeAcross: 0 }, source: SOURCE },
  // strokes to either side, one set over the other: no direction is left, but a sparkle that changes with each turn of the hand
  { id: 'brushed-crosswise', label: 'Brushed crosswise', slug: 'brc', alphaX: 0.14, alphaY: 0.14, marks: { along: 0.035, across: 0.035, slopeAlong: 0.2, slopeAcross: 0.2, strokes: 'crossed' }, source: SOURCE },
  // spots of a turning brush in offset rows, each over the one before: a bow of light turns in every spot
  { id: 'brushed-in-circles', label: 'Brushed in circles', slug: 'bro', alphaX: 0.1, alphaY: 0.1, marks: { along: 1.1, across: 1.1, slopeAlong: 0.22, slopeAcross: 0.22, strokes: 'circles' }, source: SOURCE },
  // thousands of small flakes struck by wires, each a mirror of its own lean: it glitters like frost
  { id: 'ice-matt', label: 'Ice-matt', slug: 'ice', alphaX: 0.1, alphaY: 0.1, marks: dents(0.1, 0.36, 0.5), source: SOURCE },
  // overlapping craters of the grains, finer than the eye parts but in a close-up
  { id: 'sandblasted', label: 'Sandblasted', slug: 'blast', alphaX: 0.24, alphaY: 0.24, marks: dents(0.055, 0.42, 0.15), source: SOURCE },
];

export const FINISHES: ReadonlyMap<string, Finish> = new Map(ROWS.map((f) => [f.id, f]));

/**
 * Variance of a mark's slope for a steepest slope of 1. Two octaves of smooth noise: (1 + 0.6²)/3 · (26/35)² = 0.25 (uniform
 * values, ∫ of the fade curve squared). Dents: a place's distance along one axis to the nearest of a jittered grid has the
 * variance 0.11 of a cell (by simulation), which counts twofold as a slope; a lean is even in −1…1. Crossed strokes share
 * their slopes between two such noises. Circles have noise along one line only, (1 + 0.6²)/3 · 26/35, half for each direction.
 */
function slopeVariance({ tilt, strokes }: ToolMarks): number {
  if (strokes === 'circles') return ((1 + 0.6 ** 2) / 3) * (26 / 35) * 0.5;
  return tilt === undefined ? 0.25 : 4 * 0.11 * (1 - tilt) ** 2 + tilt ** 2 / 3;
}

/**
 * α along and across as seen from afar, where marks are too small to tell: a lobe's α² and twice the variance of the
 * marks' slopes add up, as they do for Beckmann's lobe (α² = 2σ²; Walter et al., EGSR 2007).
 */
export function alphaFromAfar({ alphaX, alphaY, marks }: Finish): { alphaX: number; alphaY: number } {
  const wider = (alpha: number, slope: number) =>
    marks ? Math.sqrt(alpha ** 2 + 2 * slopeVariance(marks) * slope ** 2) : alpha;
  return { alphaX: wider(alphaX, marks?.slopeAlong ?? 0), alphaY: wider(alphaY, marks?.slopeAcross ?? 0) };
}
