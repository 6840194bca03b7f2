import { girdleReach, outsideGirdle } from './girdle.ts';
import { type Frame, type Stone, toBand, turnToBand } from './stone.ts';
import { distance, dot, scale, sub, unit, type Vec } from './vec.ts';

/** Radii about the middle of a stone's girdle, mm. */
interface Radii {
  /** of the sphere that holds the stone (a brilliant to 0.05 % of its diameter) */
  around: number;
  /** of a circle that lies within its girdle */
  within: number;
}

const RADII = new WeakMap<Stone, Radii>();

/** Worked out once for a stone, which is held against its neighbours again and again until they lie apart as asked. */
function radiiOf(stone: Stone): Radii {
  const known = RADII.get(stone);
  if (known) return known;
  const { girdle, pavilionCorners } = stone;
  const radii =
    girdle.kind === 'round'
      ? // its girdle is a polygon of many sides: half leaves room to spare
        { around: girdle.radius, within: girdle.radius / 2 }
      : {
          around: Math.max(girdleReach(girdle), ...pavilionCorners.map((p) => Math.hypot(...p))),
          within: -outsideGirdle(girdle, 0, 0),
        };
  RADII.set(stone, radii);
  return radii;
}

/**
 * A lower bound of the distance between two stones, mm. Round stones lie in spheres about their girdles' centres. For
 * others it is the widest gap seen along any of these directions: the girdle sides of either, and the line between the
 * centres; for stones side by side it is their distance, to the small part by which their axes lean apart.
 */
export function leastSeparation(a: Stone, atA: Frame, b: Stone, atB: Frame): number {
  const [radiiA, radiiB] = [radiiOf(a), radiiOf(b)];
  const apart = distance(atA.origin, atB.origin) - radiiA.around - radiiB.around;
  const round = a.girdle.kind === 'round' && b.girdle.kind === 'round';
  if (round || apart > FAR_MM) return apart;
  const cornersA = cornersOf(a, atA);
  const cornersB = cornersOf(b, atB);
  const between = sub(atB.origin, atA.origin);
  const ways: Vec[] = [unit(between), ...sidesOf(a, atA), ...sidesOf(b, atB).map((n) => scale(n, -1))];
  let widest = apart;
  for (const way of ways) {
    const most = dot(between, way) - leastReach(radiiA, atA, way) - leastReach(radiiB, atB, way);
    if (most > widest - ROUNDING_MM) widest = Math.max(widest, gapAlong(way, cornersA, cornersB));
  }
  return widest;
}

/** Far more than sums are rounded by, mm. */
const ROUNDING_MM = 1e-9;

/** How far a stone reaches along a direction at least. */
function leastReach({ within }: Radii, { axis }: Frame, way: Vec): number {
  return within * Math.sqrt(Math.max(0, 1 - dot(way, axis) ** 2));
}

/** Beyond this the spheres tell enough. */
const FAR_MM = 1;

function gapAlong(way: Vec, a: Vec[], b: Vec[]): number {
  let farthest = Number.NEGATIVE_INFINITY;
  let nearest = Number.POSITIVE_INFINITY;
  for (const p of a) farthest = Math.max(farthest, dot(p, way));
  for (const p of b) nearest = Math.min(nearest, dot(p, way));
  return nearest - farthest;
}

function sidesOf(stone: Stone, frame: Frame): Vec[] {
  return stone.planes.filter(({ facet }) => facet === 'girdle').map(({ n }) => turnToBand(frame, n));
}

function cornersOf({ corners }: Stone, frame: Frame): Vec[] {
  return corners.map((corner) => toBand(frame, corner));
}
