import { type FlatPoint, flattened } from './flattened.ts';
import { readSvgPath } from './svg-path.ts';

/** Why a drawing cannot be cut, with the place in its own units. */
export interface DrawingFault {
  code: string;
  expected: string;
  received: string;
  advice: string;
}

/** More sides than these are no couple's handwriting. */
const MOST_SIDES = 20_000;

/**
 * A drawing as closed contours about its middle, y upwards, solid parts on the left: path data of SVG, scaled to a height.
 * What lies within an odd number of contours is solid. Open, crossing and empty outlines are refused.
 */
export function drawnContours(
  data: string,
  heightMm: number,
  chordMm: number,
): { contours: FlatPoint[][]; widthMm: number } | { fault: DrawingFault } {
  const read = readSvgPath(data);
  if ('wanted' in read) {
    const received = `${JSON.stringify(data.slice(Math.max(0, read.at - 1), read.at + 19))} at character ${read.at}`;
    const advice = 'Save the drawing as plain SVG, all of it as paths.';
    return {
      fault: { code: 'drawing-unreadable', expected: `path data of SVG: ${read.wanted}`, received, advice },
    };
  }
  const [open] = read.open;
  if (open) {
    const received = `one that runs from ${placeText(open.from)} to ${placeText(open.to)}`;
    const advice = 'Close it, or turn its stroke into an outline: what is cut has an inside.';
    return { fault: { code: 'drawing-open', expected: 'closed outlines', received, advice } };
  }
  // control points reach as far as their curves, if not farther
  const controls = boxOf(read.steps.map(({ args }) => pairsOf(args)));
  const across = controls && Math.max(controls.high[0] - controls.low[0], controls.high[1] - controls.low[1]);
  const box = across ? boxOf(flattened(read.steps, (x, y) => [x, y], across / FINEST)) : undefined;
  if (!box) {
    const expected = 'outlines with an inside';
    const advice = 'Draw the letters as outlines, not as lines.';
    return { fault: { code: 'drawing-empty', expected, received: 'none', advice } };
  }
  const scale = heightMm / (box.high[1] - box.low[1]);
  const [cx, cy] = [0, 1].map((k) => (box.low[k] + box.high[k]) / 2);
  const contours = flattened(read.steps, (x, y) => [scale * (x - cx), scale * (cy - y)], chordMm);
  const back = ([x, y]: FlatPoint) => placeText([x / scale + cx, cy - y / scale]);
  const sides = contours.reduce((sum, c) => sum + c.length, 0);
  if (sides > MOST_SIDES) {
    const expected = `at most ${MOST_SIDES} sides`;
    const advice = 'Simplify the drawing: points closer than a graver is wide cannot be cut.';
    return { fault: { code: 'drawing-too-fine', expected, received: `${sides}`, advice } };
  }
  const crossing = crossingOf(contours);
  if (crossing) {
    const advice = 'Unite overlapping strokes into one outline.';
    const received = `two that cross at ${back(crossing)}`;
    return { fault: { code: 'drawing-crossing', expected: 'outlines that do not cross', received, advice } };
  }
  return { contours: turnedByDepth(contours), widthMm: scale * (box.high[0] - box.low[0]) };
}

/** Parts of a drawing's reach to which its height is known. */
const FINEST = 20_000;

const pairsOf = (args: readonly number[]) =>
  Array.from({ length: args.length / 2 }, (_, k): FlatPoint => [args[2 * k], args[2 * k + 1]]);

const placeText = ([x, y]: FlatPoint) => `(${Number(x.toFixed(2))}, ${Number(y.toFixed(2))})`;

function boxOf(contours: readonly FlatPoint[][]): { low: FlatPoint; high: FlatPoint } | undefined {
  const points = contours.flat();
  if (points.length === 0) return undefined;
  const end = (k: 0 | 1, of: (a: number, b: number) => number) =>
    points.map((p) => p[k]).reduce((a, b) => of(a, b));
  const [low, high]: FlatPoint[] = [
    [end(0, Math.min), end(1, Math.min)],
    [end(0, Math.max), end(1, Math.max)],
  ];
  return high[1] - low[1] > 0 ? { low, high } : undefined;
}

/** Where two sides cross that are no neighbours; undefined if none do. Sides are swept from left to right. */
function crossingOf(contours: readonly FlatPoint[][]): FlatPoint | undefined {
  const sides = contours
    .flatMap((contour, c) =>
      contour.map((a, i) => {
        const b = contour[(i + 1) % contour.length];
        return { a, b, c, i, count: contour.length, from: Math.min(a[0], b[0]), to: Math.max(a[0], b[0]) };
      }),
    )
    .sort((p, q) => p.from - q.from);
  for (const [n, p] of sides.entries()) {
    for (let m = n + 1; m < sides.length && sides[m].from <= p.to; m++) {
      const q = sides[m];
      const apart = Math.abs(p.i - q.i);
      if (p.c === q.c && (apart === 1 || apart === p.count - 1)) continue;
      const found = meeting(p.a, p.b, q.a, q.b);
      if (found) return found;
    }
  }
  return undefined;
}

function meeting(a: FlatPoint, b: FlatPoint, c: FlatPoint, d: FlatPoint): FlatPoint | undefined {
  const [rx, ry, sx, sy] = [b[0] - a[0], b[1] - a[1], d[0] - c[0], d[1] - c[1]];
  const det = rx * sy - ry * sx;
  if (det === 0) return undefined;
  const [wx, wy] = [c[0] - a[0], c[1] - a[1]];
  const [t, u] = [(wx * sy - wy * sx) / det, (wx * ry - wy * rx) / det];
  return t >= 0 && t <= 1 && u >= 0 && u <= 1 ? [a[0] + t * rx, a[1] + t * ry] : undefined;
}

/** Contours that run so that what is solid lies on their left: outer ones one way, those of holes the other. */
function turnedByDepth(contours: readonly FlatPoint[][]): FlatPoint[][] {
  return contours.map((contour, i) => {
    const depth = contours.filter((other, k) => k !== i && within(other, contour[0])).length;
    const left = signedArea(contour) > 0;
    return left === (depth % 2 === 0) ? contour : contour.toReversed();
  });
}

export function signedArea(contour: readonly FlatPoint[]): number {
  return (
    contour.reduce((sum, [x, y], i) => {
      const [u, v] = contour[(i + 1) % contour.length];
      return sum + x * v - u * y;
    }, 0) / 2
  );
}

/** Whether a point lies within a contour: whether a ray from it crosses an odd number of sides. */
function within(contour: readonly FlatPoint[], [x, y]: FlatPoint): boolean {
  return (
    contour.filter(([ax, ay], i) => {
      const [bx, by] = contour[(i + 1) % contour.length];
      return ay > y !== by > y && x < ax + ((y - ay) / (by - ay)) * (bx - ax);
    }).length %
      2 ===
    1
  );
}
