import type {
  BackMeasures,
  BenchCheck,
  BuiltShape,
  MarkFacts,
  OutlineMeasures,
  RowFit,
} from '../band/built-shape.ts';

/** What is remembered of a built shape, so that facts need no rebuilding. JSON. */
export interface SolidFacts {
  innerDiameterMm: number;
  circumferenceMm: number;
  widthMm: number;
  thicknessMm: number;
  /** of a tapered band */
  back?: BackMeasures;
  /** where edges do not run level */
  outline?: OutlineMeasures;
  triangles: number;
  lanes: { name: string; volumeMm3: number }[];
  /** equal stones of a row each */
  rows: {
    name: string;
    /** index of their stone in a dress */
    slot: number;
    inside?: true;
    face?: 'first' | 'second';
    cut: string;
    diameterMm: number;
    /** absent for round cuts */
    lengthMm?: number;
    depthMm: number;
    volumeMm3: number;
    count: number;
    /** null, for infinity, where there is a single stone */
    gapMm: number | null;
  }[];
  fits: RowFit[];
  /** absent for a band without any */
  marks?: MarkFacts;
  checks: BenchCheck[];
}

const told = ({ leastWidthMm, mostWidthMm, fromZMm, toZMm }: OutlineMeasures): OutlineMeasures => ({
  leastWidthMm,
  mostWidthMm,
  fromZMm,
  toZMm,
});

export function solidFacts(shape: BuiltShape): SolidFacts {
  const { innerDiameterMm, circumferenceMm, widthMm, thicknessMm, back, outline, marks, checks } = shape;
  const stones = shape.rows.reduce((n, r) => n + (r.count * r.stone.mesh.indices.length) / 3, 0);
  return {
    innerDiameterMm,
    circumferenceMm,
    widthMm,
    thicknessMm,
    ...(back && { back }),
    ...(outline && { outline: told(outline) }),
    triangles: stones + shape.lanes.reduce((n, l) => n + l.mesh.indices.length / 3, 0),
    lanes: shape.lanes.map(({ name, volumeMm3 }) => ({ name, volumeMm3 })),
    rows: shape.rows.map(({ name, slot, inside, face, stone, count, gapMm }) => ({
      name,
      slot,
      ...(inside && { inside }),
      ...(face && { face }),
      cut: stone.cut,
      diameterMm: stone.diameterMm,
      ...(stone.lengthMm === undefined ? {} : { lengthMm: stone.lengthMm }),
      depthMm: stone.depthMm,
      volumeMm3: stone.volumeMm3,
      count,
      gapMm: Number.isFinite(gapMm) ? gapMm : null,
    })),
    fits: shape.fits,
    ...(marks ? { marks } : {}),
    checks,
  };
}

export function encodeFacts(facts: SolidFacts): Uint8Array {
  return Buffer.from(JSON.stringify(facts));
}

export function decodeFacts(bytes: Uint8Array): SolidFacts {
  return JSON.parse(Buffer.from(bytes).toString('utf8')) as SolidFacts;
}
