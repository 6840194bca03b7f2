import type { ShapeDesign } from '../plan/design.ts';
import type { Problem } from '../problem.ts';
import { type Lane, lanesOf } from './lane.ts';
import { mm, problem } from './problem-words.ts';

/** The liner of a band of wires as a band of its own, flat inside and outside. */
export function linerBand(design: ShapeDesign): ShapeDesign | undefined {
  const { strands, ...rest } = design;
  if (!strands?.liner) return undefined;
  const { thicknessMm, edgeMm } = strands.liner;
  return {
    ...rest,
    thicknessMm,
    section: { ...design.section, edgeMm, boreEdgeMm: edgeMm },
    seams: [],
    lanes: design.lanes.slice(0, 1),
  };
}

export function linerLane(design: ShapeDesign): Lane | undefined {
  const band = linerBand(design);
  return band && lanesOf(band)[0];
}

/** Edges that leave a liner no wall, or no surface that wires lie on. */
export function linerProblems({ strands, widthMm }: ShapeDesign): Problem[] {
  if (!strands?.liner) return [];
  const { thicknessMm, edgeMm } = strands.liner;
  const most = Math.min(thicknessMm, widthMm) / 2;
  if (edgeMm < most) return [];
  const expected = `edges softened by less than ${mm(most)}`;
  return [problem('liner-edge', 'strands.liner.edge', expected, mm(edgeMm), 'Soften its edges less.')];
}
