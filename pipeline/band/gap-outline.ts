import type { ShapeDesign } from '../plan/design.ts';
import type { BypassGap, GapDesign, OpenGap, SplitGap } from '../plan/gap-design.ts';
import { distanceInto } from './distance-into.ts';
import { edgeCurve } from './outline.ts';

/** A place of the band unrolled at its outside: x along it from the gap's middle, z across; mm. */
export type GapPoint = readonly [x: number, z: number];

/** Both sides of a gap from one of its ends to the other, point against point; left of the way from end to end. */
export interface GapOutline {
  left: GapPoint[];
  right: GapPoint[];
  /** a gap that lies within the band; else both ends lie beyond its edges */
  closed: boolean;
}

/** How far gaps reach beyond the edges that they part, mm. */
const BEYOND_MM = 0.6;
/** Steps of a rounded corner, and of half an eye. */
const CORNER_STEPS = 10;
const EYE_STEPS = 48;
/** Longest step of a straight side, mm: rims follow the outside from point to point. */
const LONGEST_MM = 0.25;
/** Corners begin at this angle, lest the cut only touch the band's edge there. */
const FIRST_RAD = 0.14;

/** Radius at which gaps are measured: that of the outside. */
export function gapRadius({ circumferenceMm, thicknessMm }: ShapeDesign): number {
  return circumferenceMm / (2 * Math.PI) + thicknessMm;
}

/** z of an edge of the band at x from the gap's middle. */
type Edge = (x: number) => number;

export function gapOutline(design: ShapeDesign, gap: GapDesign): GapOutline {
  const radius = gapRadius(design);
  const edge = (side: 1 | -1): Edge => {
    const { z } = edgeCurve(design, side);
    return (x) => z(gap.atRad + x / radius);
  };
  const [low, high] = [edge(-1), edge(1)];
  switch (gap.kind) {
    case 'open':
      return openOutline(gap, low, high);
    case 'split':
      return eyeOutline(gap, radius, low, high);
    case 'bypass': {
      if (gap.from === 'first') return passOutline(gap, radius, low, high);
      // seen in a mirror across the band the gap begins at the other edge
      const { left, right, closed } = passOutline(
        gap,
        radius,
        (x) => -high(x),
        (x) => -low(x),
      );
      const back = (side: GapPoint[]) => side.map(([x, z]): GapPoint => [x, -z]);
      return { left: back(right), right: back(left), closed };
    }
  }
}

/** The way in over an edge at x, whose corner is rounded away from the gap (`way` along x); from outside to the straight. */
function overEdge(
  x: number,
  way: 1 | -1,
  edge: Edge,
  inwards: 1 | -1,
  round: number,
  outZ: number,
): GapPoint[] {
  const arc = Array.from({ length: CORNER_STEPS + 1 }, (_, i): GapPoint => {
    const angle = FIRST_RAD + ((Math.PI / 2 - FIRST_RAD) * i) / CORNER_STEPS;
    const at = x + way * round * (1 - Math.sin(angle));
    return [at, edge(at) + inwards * round * (1 - Math.cos(angle))];
  });
  return [[arc[0][0], outZ], ...arc];
}

/** Points between two, without their ends. */
function between([x0, z0]: GapPoint, [x1, z1]: GapPoint, steps: number): GapPoint[] {
  return Array.from({ length: steps - 1 }, (_, i): GapPoint => {
    const t = (i + 1) / steps;
    return [x0 + t * (x1 - x0), z0 + t * (z1 - z0)];
  });
}

const stepsFor = (length: number) => Math.max(2, Math.ceil(length / LONGEST_MM));

/** z beyond an edge all along a stretch. */
function beyond(edge: Edge, from: number, to: number, side: 1 | -1): number {
  const all = Array.from({ length: 41 }, (_, i) => side * edge(from + ((to - from) * i) / 40));
  return side * (Math.max(...all) + BEYOND_MM);
}

function openOutline({ widthMm, roundMm }: OpenGap, low: Edge, high: Edge): GapOutline {
  const reach = widthMm / 2 + roundMm;
  const [below, above] = [beyond(low, -reach, reach, -1), beyond(high, -reach, reach, 1)];
  const steps = stepsFor(above - below);
  const side = (way: 1 | -1) => {
    const x = (way * widthMm) / 2;
    const first = overEdge(x, way, low, 1, roundMm, below);
    const last = overEdge(x, way, high, -1, roundMm, above).reverse();
    return [...first, ...between(first.at(-1)!, last[0], steps), ...last];
  };
  return { left: side(-1), right: side(1), closed: false };
}

/** Roundness of an eye: 2 would be an ellipse, whose ends are tighter. */
const EYE = 4;

function eyeOutline(
  { spanRad, widthMm, across }: SplitGap,
  radius: number,
  low: Edge,
  high: Edge,
): GapOutline {
  const half = (spanRad * radius) / 2;
  const middle = (x: number) => low(x) + across.share * (high(x) - low(x)) + across.mm;
  // evenly along the flanks, and by angle round the ends
  const places = Array.from({ length: 2 * EYE_STEPS + 1 }, (_, i) => {
    const t = 0.97 * (i / EYE_STEPS - 1);
    const angle = (Math.PI / 2) * (1 - t * t);
    return { x: Math.sign(t) * half * Math.cos(angle) ** (2 / EYE), h: (widthMm / 2) * Math.sin(angle) };
  });
  return {
    left: places.map(({ x, h }) => [x, middle(x) + h]),
    right: places.map(({ x, h }) => [x, middle(x) - h]),
    closed: true,
  };
}

/** In over the first edge, a quarter turn into the middle of the band, along it, a quarter turn out over the second edge. */
function passOutline(gap: BypassGap, radius: number, low: Edge, high: Edge): GapOutline {
  const { spanRad, widthMm, roundMm } = gap;
  const a = (spanRad * radius) / 2;
  const turn = roundMm + widthMm / 2;
  const middle = (x: number) => (low(x) + high(x)) / 2;
  const reach = a + widthMm / 2 + roundMm;
  const [below, above] = [beyond(low, -reach, reach, -1), beyond(high, -reach, reach, 1)];
  const level = stepsFor(2 * (a - turn));
  const rise = stepsFor((above - below) / 2);
  const side = (s: 1 | -1) => {
    // s = −1: left of the way, which is outside of the first turn and inside of the second
    const [x0, x1] = [-a + (s * widthMm) / 2, a + (s * widthMm) / 2];
    const first = overEdge(x0, s, low, 1, roundMm, below);
    const last = overEdge(x1, s, high, -1, roundMm, above).reverse();
    const arc = (centreX: number, rho: number, from: number, up: 1 | -1) =>
      Array.from({ length: CORNER_STEPS + 1 }, (_, i): GapPoint => {
        const angle = from + (((up === 1 ? -1 : 1) * Math.PI) / 2) * (i / CORNER_STEPS);
        const x = centreX + rho * Math.cos(angle);
        return [x, middle(x) - up * turn + rho * Math.sin(angle)];
      });
    const inwards = arc(-a + turn, turn - (s * widthMm) / 2, Math.PI, 1);
    const out = arc(a - turn, turn + (s * widthMm) / 2, -Math.PI / 2, -1);
    const straight = Array.from({ length: level - 1 }, (_, i): GapPoint => {
      const x = -a + turn + ((i + 1) / level) * 2 * (a - turn);
      return [x, middle(x) - (s * widthMm) / 2];
    });
    return [
      ...first,
      ...between(first.at(-1)!, inwards[0], rise),
      ...inwards,
      ...straight,
      ...out,
      ...between(out.at(-1)!, last[0], rise),
      ...last,
    ];
  };
  return { left: side(-1), right: side(1), closed: false };
}

/** The whole outline once round: up its left side and down its right one. */
export function gapRing({ left, right }: GapOutline): GapPoint[] {
  return [...left, ...right.toReversed()];
}

/** Distance of a place from a gap, mm; 0 within it. */
export function distanceToGap(ring: readonly GapPoint[], [x, z]: GapPoint): number {
  return Math.max(0, -distanceInto([ring], x, z));
}
