import type { ShapeDesign } from '../plan/design.ts';
import type { PeakSeam } from '../plan/seam-design.ts';
import type { HeadDesign } from '../plan/width-design.ts';
import { peakCurve } from './peak.ts';

/** Half the angle that a band takes to run round a head, as a multiple of that which the head itself takes. */
const USUAL_REACH = { v: 3.2, arch: 2.4 } as const;
const WIDEST = (170 * Math.PI) / 180;
/** Where the edge is looked over for its nearest place to the head. */
const SURVEY = 720;

/** How near an edge z(θ) comes to the head, seen from above at the outside's radius, mm; `edge` towards the head. */
export function headDistance(
  design: ShapeDesign,
  head: HeadDesign,
  edge: (theta: number) => number,
): { mm: number; theta: number } {
  const r = design.circumferenceMm / (2 * Math.PI) + design.thicknessMm;
  const side = head.edge === 'second' ? 1 : -1;
  // the other ring lies along the edge where that runs straight
  const middle = side * (design.widthMm / 2 + head.shankMm / 2);
  let worst = { mm: Number.POSITIVE_INFINITY, theta: 0 };
  for (let i = -SURVEY; i <= SURVEY; i++) {
    const theta = (Math.PI / 2) * (i / SURVEY);
    const beside = edge(theta) - middle;
    // an edge that has run past the head's middle lies within it
    const across = side * beside < 0 ? Math.abs(beside) : 0;
    const mm = Math.hypot(r * Math.sin(theta), across) - head.headMm / 2;
    if (mm < worst.mm) worst = { mm, theta };
  }
  return worst;
}

/**
 * The lowest peak of the middle line that keeps the band's edge clear of a head that stands over it. Heads narrow
 * downwards, so that the outside's rim is what comes nearest.
 */
export function headPath(design: ShapeDesign, head: HeadDesign): PeakSeam {
  const r = design.circumferenceMm / (2 * Math.PI) + design.thicknessMm;
  const rho = head.headMm / 2 + head.gapMm;
  const { v, arch } = USUAL_REACH;
  const usual = 2 * Math.asin(Math.min(1, rho / r)) * (v + (arch - v) * head.roundness);
  const path = (heightMm: number): PeakSeam => ({
    kind: 'peak',
    atMm: 0,
    heightMm: (head.edge === 'second' ? -1 : 1) * heightMm,
    spanRad: head.spanRad ?? Math.min(WIDEST, usual),
    roundness: head.roundness,
    phaseRad: 0,
  });
  const clear = (heightMm: number) => {
    const { z } = edgeBeside(design, head, path(heightMm));
    return headDistance(design, head, z).mm - head.gapMm;
  };
  if (clear(0) >= 0) return path(0);
  let [low, high] = [0, 2 * rho];
  if (clear(high) < 0) return path(high);
  for (let i = 0; i < 40; i++) {
    const middle = (low + high) / 2;
    if (clear(middle) < 0) low = middle;
    else high = middle;
  }
  return path(high);
}

/** The edge towards the head of a band that is as wide as at its top. */
function edgeBeside(
  { widthMm, outline, circumferenceMm, thicknessMm }: ShapeDesign,
  head: HeadDesign,
  path: PeakSeam,
) {
  const middle = peakCurve(path);
  const r = circumferenceMm / (2 * Math.PI) + thicknessMm;
  const side = head.edge === 'second' ? 1 : -1;
  const wide = (theta: number) =>
    outline?.measured === 'finger' ? widthMm : widthMm * Math.hypot(1, middle.slope(theta) / r);
  return { z: (theta: number) => middle.z(theta) + (side * wide(theta)) / 2 };
}
