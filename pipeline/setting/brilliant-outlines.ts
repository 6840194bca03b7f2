import type { BrilliantOutline, MainPoint, Point } from './outline-brilliant.ts';

/** An ellipse: its brilliant is the round one stretched. */
export function ellipse(lengthMm: number, widthMm: number): BrilliantOutline {
  const [a, b] = [lengthMm / 2, widthMm / 2];
  const main = (turn: number) => ({
    at: [a * Math.cos(turn), b * Math.sin(turn)] as const,
    tangent: [-a * Math.sin(turn), b * Math.cos(turn)] as const,
  });
  return {
    mains: allRound([main(0), main(Math.PI / 4), main(Math.PI / 2)]),
    onRay: ([x, y]) => {
      const size = Math.hypot(x / a, y / b);
      return [x / size, y / size];
    },
  };
}

/** Two equal circular arcs that meet in points at ±x. */
export function pointedOval(lengthMm: number, widthMm: number): BrilliantOutline {
  const [a, b] = [lengthMm / 2, widthMm / 2];
  const radius = (a * a + b * b) / (2 * b);
  const below = radius - b;
  const half = Math.asin(a / radius);
  const main = (turn: number) => ({
    at: [radius * Math.sin(turn), radius * Math.cos(turn) - below] as const,
    tangent: [-Math.cos(turn), Math.sin(turn)] as const,
  });
  return {
    // the facet on the point lies square to the length
    mains: allRound([{ at: [a, 0], tangent: [0, 1] }, main(half / 2), main(0)]),
    onRay: ([x, y]) => {
      // |t·(x, |y|) + (0, below)| = radius
      const c = Math.abs(y) * below;
      const s2 = x * x + y * y;
      const t = (-c + Math.sqrt(c * c + s2 * (radius * radius - below * below))) / s2;
      return [t * x, t * y];
    },
  };
}

/**
 * A half circle as wide as the stone, and two equal arcs from its ends that meet in a point at +x; the culet stands where it
 * is widest (common practice).
 */
export function drop(lengthMm: number, widthMm: number): BrilliantOutline {
  const head = ellipse(widthMm, widthMm);
  const tip = lengthMm - widthMm / 2;
  const tail = pointedOval(2 * tip, widthMm);
  const mains = [...tail.mains.slice(0, 3), ...head.mains.slice(3, 6), ...tail.mains.slice(6)];
  return {
    mains,
    onRay: (direction) => (direction[0] > 0 ? tail : head).onRay(direction),
    middle: [(tip - widthMm / 2) / 2, 0],
  };
}

/** How full a cushion's corners are: 2 is an ellipse, more and more a rectangle; common practice. */
const CUSHION = 2.6;

/** Four bulging sides that run into each other over rounded corners: a superellipse. */
export function cushion(lengthMm: number, widthMm: number): BrilliantOutline {
  const [a, b] = [lengthMm / 2, widthMm / 2];
  const corner = 2 ** (-1 / CUSHION);
  return {
    mains: allRound([
      { at: [a, 0], tangent: [0, 1] },
      { at: [a * corner, b * corner], tangent: [-a, b] },
      { at: [0, b], tangent: [-1, 0] },
    ]),
    onRay: ([x, y]) => {
      const size = (Math.abs(x / a) ** CUSHION + Math.abs(y / b) ** CUSHION) ** (1 / CUSHION);
      return [x / size, y / size];
    },
  };
}

/**
 * Three equal arcs between the corners of an equilateral triangle that points to +y; six mains, at the corners and half-way
 * between. As long from point to point as from a side to the point across, it is the curve of constant width.
 * @param lengthMm from point to point, along x
 * @param widthMm from a side's middle to the point across
 */
export function threeArcs(lengthMm: number, widthMm: number): BrilliantOutline {
  const side = lengthMm / (2 * Math.sqrt(3));
  const bulge = widthMm - 3 * side;
  const radius = (lengthMm * lengthMm) / (8 * bulge) + bulge / 2;
  /** of an arc's circle from the middle, against the way its side looks */
  const back = radius - side - bulge;
  const mains = Array.from({ length: 6 }, (_, k): MainPoint => {
    const turn = Math.PI / 2 + (k * Math.PI) / 3;
    const reach = k % 2 === 0 ? 2 * side : side + bulge;
    return {
      at: [reach * Math.cos(turn), reach * Math.sin(turn)],
      tangent: [-Math.sin(turn), Math.cos(turn)],
    };
  });
  return {
    mains,
    onRay: ([x, y]) => {
      const looks = [1, 3, 5].map((k) => mains[k]).map(({ tangent }): Point => [tangent[1], -tangent[0]]);
      const along = Math.max(...looks.map(([ux, uy]) => ux * x + uy * y));
      // |t·(x, y) + back · looks| = radius
      const s2 = x * x + y * y;
      const c = back * along;
      const t = (-c + Math.sqrt(c * c + s2 * (radius * radius - back * back))) / s2;
      return [t * x, t * y];
    },
    middle: [0, (2 * side - (side + bulge)) / 2],
  };
}

/** A quarter's three mains mirrored into all eight, counter-clockwise from +x. */
function allRound(quarter: readonly [MainPoint, MainPoint, MainPoint]): MainPoint[] {
  const [end, between, side] = quarter;
  const turned = (m: MainPoint, sx: number, sy: number) => ({
    at: [m.at[0] * sx, m.at[1] * sy] as Point,
    // a mirrored curve runs the other way, which a plane does not mind
    tangent: [m.tangent[0] * sx, m.tangent[1] * sy] as Point,
  });
  return [
    end,
    between,
    side,
    turned(between, -1, 1),
    turned(end, -1, 1),
    turned(between, -1, -1),
    turned(side, 1, -1),
    turned(between, 1, -1),
  ];
}
