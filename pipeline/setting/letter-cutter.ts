import type { Manifold } from 'manifold-3d';
import type { LetterOutline, LetterPoint } from './lettering.ts';
import type { NativeSolids } from './solid-kernel.ts';
import type { Vec } from './vec.ts';

/** How a letter is cut: depths are below the surface that is cut, mm. */
export interface LetterCut {
  depthMm: number;
  /** lean of the walls from square to the surface, out of the stroke; 0 ≤ slant < 90°, radians */
  slantRad: number;
  /** depth at which the contours are the strokes' true width: what will be polished off */
  coverMm: number;
  /** reach of the cutter out of the metal */
  proudMm: number;
}

/** How far into a stroke a leaning wall reaches at the floor, if the stroke is wide enough, mm. */
export function wallReach({ depthMm, slantRad, coverMm }: LetterCut): number {
  return (depthMm - coverMm) * Math.tan(slantRad);
}

/** Walls go on to this height over the surface that is cut, mm, lest the cutter have an edge where it meets the metal. */
const RISE_MM = 0.02;
/** No higher than where they have widened by this, mm. */
const WIDENING_MM = 0.01;
/** Wedges reach this far below the letter's floor and out of the cutter, mm. */
const BEYOND_MM = 0.002;
/** Neighbouring wedges overlap by a trace, since two that only touch leave a crack between them, mm. */
const OVERLAP_MM = 2e-5;
/** What that and rounding leave over is smaller than this, mm and mm³. */
const SPECK_MM = 2e-4;
const SPECK_MM3 = 1e-6;

/**
 * The cutter of one letter before it is laid on its surface: (s, t) of the letter, and h from 0 at the floor. Walls fall
 * from the contours at one angle; where a stroke is too narrow for a floor they meet in a V above it. It is a straight
 * prism less the metal that stays below the walls, one wedge for each side of the contours: the height of the walls is
 * then that over the nearest side, so that they meet in the letter's own ridge lines whatever its form.
 *
 * @param letter contours that do not overlap, with the stroke on their left
 */
export function letterCutter(solids: NativeSolids, letter: LetterOutline, cut: LetterCut): Manifold {
  const { depthMm, slantRad, coverMm, proudMm } = cut;
  const slope = Math.tan(slantRad);
  if (slope === 0) return solids.prism(letter.contours, depthMm + proudMm);
  const contours = letter.contours.map(blunted);
  const out = (coverMm + Math.min(RISE_MM, WIDENING_MM / slope)) * slope;
  const prism = solids.prism(solids.grown(contours, out), depthMm + proudMm);
  const wedges = contours.flatMap((contour) =>
    wedgesAlong(contour, depthMm - coverMm, slope, out + BEYOND_MM),
  );
  const below = solids.unite(wedges.map((corners) => solids.fromPoints(corners, WEDGE)));
  const cutter = solids.subtract(prism, [solids.withoutSpecks(below, SPECK_MM, SPECK_MM3)]);
  return solids.withoutSpecks(cutter, SPECK_MM, SPECK_MM3);
}

/** Metal that turns more sharply than this into a stroke is blunted by a side of its own, so that walls end near it. */
const SHARPEST_RAD = (100 * Math.PI) / 180;
/** Length that is taken off the two sides of such a corner, mm. */
const BLUNT_MM = 0.002;

function blunted(contour: readonly LetterPoint[]): LetterPoint[] {
  return sidesOf(contour).flatMap(({ a, along, turn }, i, sides): LetterPoint[] => {
    if (turn > -SHARPEST_RAD) return [a];
    const before = sides[(i + sides.length - 1) % sides.length].along;
    return [moved(a, before, -BLUNT_MM), moved(a, along, BLUNT_MM)];
  });
}

/** A side of a contour from a to b. */
interface Side {
  a: LetterPoint;
  b: LetterPoint;
  /** unit */
  along: LetterPoint;
  /** from the side before: positive where the stroke's corner is convex, negative round the metal */
  turn: number;
}

function sidesOf(contour: readonly LetterPoint[]): Side[] {
  const count = contour.length;
  const along = contour.map((a, i): LetterPoint => {
    const b = contour[(i + 1) % count];
    const size = Math.hypot(b[0] - a[0], b[1] - a[1]);
    return [(b[0] - a[0]) / size, (b[1] - a[1]) / size];
  });
  return contour.map((a, i) => {
    const [p, q] = [along[(i + count - 1) % count], along[i]];
    const turn = Math.atan2(p[0] * q[1] - p[1] * q[0], p[0] * q[0] + p[1] * q[1]);
    return { a, b: contour[(i + 1) % count], along: q, turn };
  });
}

function moved([x, y]: LetterPoint, [u, v]: LetterPoint, by: number): LetterPoint {
  return [x + by * u, y + by * v];
}

/**
 * Metal below the wall of each side: a triangle in section, six corners. Round the metal neighbours meet on the line
 * that halves the corner. At a convex corner of the stroke they run on a little into each other: what stands past the
 * corner lies below the neighbour's wall.
 */
function wedgesAlong(contour: readonly LetterPoint[], deep: number, slope: number, out: number): Vec[][] {
  const sides = sidesOf(contour);
  const reach = (deep + BEYOND_MM) * slope;
  const crest = deep + out / slope;
  return sides.map(({ a, b, along, turn }, i) => {
    const inward: LetterPoint = [-along[1], along[0]];
    const next = sides[(i + 1) % sides.length].turn;
    const end = (p: LetterPoint, angle: number, way: 1 | -1): Vec[] => {
      const half = Math.tan(Math.min(Math.abs(angle), LONGEST_MITRE_RAD) / 2);
      const at = (into: number, h: number): Vec => {
        const past = angle > 0 ? out * half + BEYOND_MM : into * half + OVERLAP_MM;
        return [...moved(moved(p, inward, into), along, way * past), h];
      };
      return [at(-out, -BEYOND_MM), at(reach, -BEYOND_MM), at(-out, crest)];
    };
    return [...end(a, turn, -1), ...end(b, next, 1)];
  });
}

/** Convex corners sharper than this are not followed to their tip outside the stroke. */
const LONGEST_MITRE_RAD = (150 * Math.PI) / 180;

/** Triangles of a wedge, counter-clockwise seen from outside. */
const WEDGE: readonly Vec[] = [
  [0, 2, 1],
  [3, 4, 5],
  [0, 4, 3],
  [0, 1, 4],
  [1, 5, 4],
  [1, 2, 5],
  [2, 3, 5],
  [2, 0, 3],
];
