import type { BackMeasures, BenchCheck, BuiltShape, MarkFacts } from '../band/built-shape.ts';

/** What is remembered of a built shape, so that facts need no rebuilding. JSON. */
export interface SolidFacts {
  innerDiameterMm: number;
  circumferenceMm: number;
  widthMm: number;
  thicknessMm: number;
  /** of a tapered band */
  back?: BackMeasures;
  triangles: number;
  lanes: { name: string; volumeMm3: number }[];
  rows: {
    name: string;
    cut: string;
    diameterMm: number;
    /** absent for round cuts */
    lengthMm?: number;
    depthMm: number;
    volumeMm3: number;
    count: number;
    /** distance between the centres of neighbours; null for a single stone */
    pitchMm: number | null;
    gapMm: number;
  }[];
  /** absent for a band without any */
  marks?: MarkFacts;
  checks: BenchCheck[];
}

export function solidFacts(shape: BuiltShape): SolidFacts {
  const { innerDiameterMm, circumferenceMm, widthMm, thicknessMm, back, marks, checks } = shape;
  const stones = shape.rows.reduce((n, r) => n + (r.count * r.stone.mesh.indices.length) / 3, 0);
  return {
    innerDiameterMm,
    circumferenceMm,
    widthMm,
    thicknessMm,
    ...(back && { back }),
    triangles: stones + shape.lanes.reduce((n, l) => n + l.mesh.indices.length / 3, 0),
    lanes: shape.lanes.map(({ name, volumeMm3 }) => ({ name, volumeMm3 })),
    rows: shape.rows.map(({ name, stone, placements, count, gapMm }) => ({
      name,
      cut: stone.cut,
      diameterMm: stone.diameterMm,
      ...(stone.lengthMm === undefined ? {} : { lengthMm: stone.lengthMm }),
      depthMm: stone.depthMm,
      volumeMm3: stone.volumeMm3,
      count,
      pitchMm: pitchOf(placements),
      gapMm,
    })),
    ...(marks ? { marks } : {}),
    checks,
  };
}

/** Distance of the first two centres: chords of a row are equal. */
function pitchOf(placements: Float64Array): number | null {
  if (placements.length < 24) return null;
  return Math.hypot(...[3, 7, 11].map((k) => placements[12 + k] - placements[k]));
}

export function encodeFacts(facts: SolidFacts): Uint8Array {
  return Buffer.from(JSON.stringify(facts));
}

export function decodeFacts(bytes: Uint8Array): SolidFacts {
  return JSON.parse(Buffer.from(bytes).toString('utf8')) as SolidFacts;
}
