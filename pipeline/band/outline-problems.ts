import type { ShapeDesign } from '../plan/design.ts';
import type { SeamPath } from '../plan/seam-design.ts';
import type { Problem } from '../problem.ts';
import { headDistance } from './head-path.ts';
import { edgeCurve, middleCurve, outlineAngles, widthCurve } from './outline.ts';
import { degrees, mm, problem } from './problem-words.ts';
import { seamFaults } from './seam.ts';

/** Narrowest band that is one, mm. Bench checks ask for more. */
const LEAST_WIDTH_MM = 1;
/** The inner edge of a bend against the middle line: below this it would crowd, then run back on itself. */
const LEAST_PACE = 0.15;
/** A band that clears a head by less than it should is refused from here on, mm. */
const CLEAR_MM = 1e-3;

/** What keeps the edges of a band from running as its outline says. */
export function outlineProblems(design: ShapeDesign): Problem[] {
  const { outline } = design;
  if (!outline) return [];
  const faults = [...pathFaults('middle', outline.middle), ...pathFaults('width', outline.width)];
  if (faults.length > 0) return faults;
  return [...widthProblems(design), ...bendProblems(design), ...headProblems(design)];
}

function pathFaults(key: string, path: SeamPath | undefined): Problem[] {
  return (path ? seamFaults(path) : []).map(({ code, measure, expected, received, advice }) =>
    problem(code, `outline.${key}.${measure}`, expected, received, advice),
  );
}

function widthProblems(design: ShapeDesign): Problem[] {
  const width = widthCurve(design);
  const all = outlineAngles(design).map((theta) => ({ at: width.z(theta), theta }));
  const { at, theta } = all.reduce((a, b) => (b.at < a.at ? b : a));
  if (at >= LEAST_WIDTH_MM) return [];
  const advice = 'Let the width swing less, or make the band wider.';
  const expected = `a band at least ${mm(LEAST_WIDTH_MM)} wide all round`;
  return [
    problem('outline-too-narrow', 'outline.width', expected, `${mm(at)} at θ = ${degrees(theta)}`, advice),
  ];
}

/** A band as wide on both sides of a bend as beside it has an edge that turns more tightly than its middle line. */
function bendProblems(design: ShapeDesign): Problem[] {
  const { outline, circumferenceMm, thicknessMm } = design;
  if (outline?.measured !== 'square') return [];
  const r = circumferenceMm / (2 * Math.PI) + thicknessMm;
  const middle = middleCurve(design);
  const width = widthCurve(design);
  const all = outlineAngles(design).map((theta) => {
    const slope = middle.slope(theta) / r;
    const curvature = Math.abs(middle.bend(theta)) / (r * r) / (1 + slope * slope) ** 1.5;
    return { half: width.z(theta) / Math.hypot(1, slope) / 2, curvature, theta };
  });
  const pace = ({ half, curvature }: (typeof all)[number]) => 1 - half * curvature;
  const worst = all.reduce((a, b) => (pace(b) < pace(a) ? b : a));
  if (pace(worst) >= LEAST_PACE) return [];
  const expected = `a middle line that bends by at least ${mm(worst.half / (1 - LEAST_PACE))} of radius, for a band ${mm(2 * worst.half)} wide square to it`;
  const received = `${mm(1 / worst.curvature)} at θ = ${degrees(worst.theta)}`;
  const advice = 'Round the bend more, lower it, make the band narrower, or write "measured: finger".';
  return [problem('outline-too-tight', 'outline', expected, received, advice)];
}

function headProblems(design: ShapeDesign): Problem[] {
  const head = design.outline?.around;
  if (!head) return [];
  const edge = edgeCurve(design, head.edge === 'second' ? 1 : -1);
  const { mm: distance, theta } = headDistance(design, head, edge.z);
  if (distance >= head.gapMm - CLEAR_MM) return [];
  const expected = `an edge at least ${mm(head.gapMm)} from a head of ${mm(head.headMm)}`;
  const advice = 'Give a wider "span", more roundness, or less width at the top.';
  return [
    problem(
      'head-in-the-way',
      'outline.around',
      expected,
      `${mm(distance)} at θ = ${degrees(theta)}`,
      advice,
    ),
  ];
}
