/** A point of a girdle's outline, seen from above; mm. */
export type OutlinePoint = readonly [x: number, y: number];

/** Outline of a girdle: a circle, or a convex polygon, counter-clockwise, about its centre. */
export type Girdle =
  | { kind: 'round'; radius: number }
  | { kind: 'polygon'; corners: readonly OutlinePoint[] };

/** Distance of a point from the outline; negative inside. */
export function outsideGirdle(girdle: Girdle, x: number, y: number): number {
  if (girdle.kind === 'round') return Math.sqrt(x * x + y * y) - girdle.radius;
  const sides = sidesOf(girdle.corners);
  let within = Number.NEGATIVE_INFINITY;
  for (const { x: ax, y: ay, ux, uy } of sides) within = Math.max(within, (x - ax) * uy - (y - ay) * ux);
  if (within <= 0) return within;
  let [offX, offY] = [Number.POSITIVE_INFINITY, 0];
  for (const { x: ax, y: ay, ux, uy, size } of sides) {
    const t = Math.min(size, Math.max(0, (x - ax) * ux + (y - ay) * uy));
    const [toX, toY] = [x - ax - t * ux, y - ay - t * uy];
    if (toX * toX + toY * toY < offX * offX + offY * offY) [offX, offY] = [toX, toY];
  }
  return Math.hypot(offX, offY);
}

/** A side of an outline: where it starts, its unit direction, and its length. */
interface Side {
  x: number;
  y: number;
  ux: number;
  uy: number;
  size: number;
}

const SIDES = new WeakMap<readonly OutlinePoint[], Side[]>();

/** Worked out once for an outline: a claw's bite alone asks for hundreds of distances. */
function sidesOf(corners: readonly OutlinePoint[]): Side[] {
  const known = SIDES.get(corners);
  if (known) return known;
  const sides = corners.map(([x, y], i): Side => {
    const [bx, by] = corners[(i + 1) % corners.length];
    const size = Math.hypot(bx - x, by - y);
    return { x, y, ux: (bx - x) / size, uy: (by - y) / size, size };
  });
  SIDES.set(corners, sides);
  return sides;
}

/** The outline moved outwards by some mm, corners kept sharp. */
export function grownGirdle(girdle: Girdle, by: number): Girdle {
  if (girdle.kind === 'round') return { kind: 'round', radius: girdle.radius + by };
  const { corners } = girdle;
  const sides = corners.map(([ax, ay], i) => {
    const [bx, by2] = corners[(i + 1) % corners.length];
    const size = Math.hypot(bx - ax, by2 - ay);
    const n = [(by2 - ay) / size, (ax - bx) / size];
    return { n, d: n[0] * ax + n[1] * ay + by };
  });
  return {
    kind: 'polygon',
    corners: sides.map(({ n, d }, i) => {
      const before = sides[(i + sides.length - 1) % sides.length];
      const det = before.n[0] * n[1] - before.n[1] * n[0];
      return [(before.d * n[1] - d * before.n[1]) / det, (before.n[0] * d - n[0] * before.d) / det];
    }),
  };
}

/** The outline drawn smaller or larger about its centre. */
export function scaledGirdle(girdle: Girdle, share: number): Girdle {
  if (girdle.kind === 'round') return { kind: 'round', radius: girdle.radius * share };
  return { kind: 'polygon', corners: girdle.corners.map(([x, y]) => [x * share, y * share]) };
}

/** Corners of a girdle that turn by more than 45°. */
export function sharpCorners(girdle: Girdle): readonly OutlinePoint[] {
  if (girdle.kind === 'round') return [];
  const { corners } = girdle;
  return corners.filter(([x, y], i) => {
    const [px, py] = corners[(i + corners.length - 1) % corners.length];
    const [nx, ny] = corners[(i + 1) % corners.length];
    const turn = Math.atan2(ny - y, nx - x) - Math.atan2(y - py, x - px);
    return Math.cos(turn) < Math.SQRT1_2;
  });
}

/** Farthest point of the outline from its centre, mm. */
export function girdleReach(girdle: Girdle): number {
  return girdle.kind === 'round'
    ? girdle.radius
    : Math.max(...girdle.corners.map(([x, y]) => Math.hypot(x, y)));
}

/** Widths along x and y, mm. */
export function girdleExtent(girdle: Girdle): OutlinePoint {
  if (girdle.kind === 'round') return [2 * girdle.radius, 2 * girdle.radius];
  return [0, 1].map((k) => 2 * Math.max(...girdle.corners.map((p) => p[k]))) as [number, number];
}
