import type { LetterOutline, LetterPoint } from './lettering.ts';

/** A narrow place: how wide it is, and at which letter. */
export interface Narrowest {
  widthMm: number;
  letter: string;
}

interface Side {
  a: LetterPoint;
  b: LetterPoint;
  /** unit, out of the stroke */
  n: LetterPoint;
  letter: string;
}

/** Sides that face each other more squarely than this bound a stroke; where they meet at an angle it is a corner. */
const FACING = -Math.cos((10 * Math.PI) / 180);
/** Sides shorter than this share of the height are the rounding of corners. */
const SHORT = 0.02;

/**
 * The narrowest stroke and the narrowest web of metal between two strokes of a line, measured from the middle of
 * every side square to it, to the side that faces it. Narrowing towards a corner does not count: there a graver lifts
 * out, and metal stands on a broad foot.
 *
 * @param letters contours that do not overlap, with the stroke on their left
 */
export function strokeWidths(
  letters: readonly LetterOutline[],
  heightMm: number,
): { stroke: Narrowest; web: Narrowest } {
  const sides = letters.flatMap(sidesOf);
  const stroke: Narrowest = { widthMm: Number.POSITIVE_INFINITY, letter: '' };
  const web: Narrowest = { widthMm: Number.POSITIVE_INFINITY, letter: '' };
  for (const side of sides) {
    if (Math.hypot(side.b[0] - side.a[0], side.b[1] - side.a[1]) < SHORT * heightMm) continue;
    for (const [way, narrowest] of [
      [-1, stroke],
      [1, web],
    ] as const) {
      const found = facingDistance(side, way, sides, narrowest.widthMm);
      if (found !== undefined && found < narrowest.widthMm)
        Object.assign(narrowest, { widthMm: found, letter: side.letter });
    }
  }
  return { stroke, web };
}

function sidesOf({ letter, contours }: LetterOutline): Side[] {
  return contours.flatMap((contour) =>
    contour.map((a, i): Side => {
      const b = contour[(i + 1) % contour.length];
      const size = Math.hypot(b[0] - a[0], b[1] - a[1]);
      // the stroke lies on the left of its contour
      return { a, b, n: [(b[1] - a[1]) / size, (a[0] - b[0]) / size], letter };
    }),
  );
}

/** Distance from the middle of a side, out of the stroke (+1) or into it (−1), to a side that faces it. */
function facingDistance(from: Side, way: 1 | -1, sides: readonly Side[], most: number): number | undefined {
  const p: LetterPoint = [(from.a[0] + from.b[0]) / 2, (from.a[1] + from.b[1]) / 2];
  const d: LetterPoint = [way * from.n[0], way * from.n[1]];
  let nearest: { t: number; side: Side } | undefined;
  for (const side of sides) {
    if (side === from) continue;
    const e = [side.b[0] - side.a[0], side.b[1] - side.a[1]];
    const det = d[0] * e[1] - d[1] * e[0];
    if (Math.abs(det) < 1e-15) continue;
    const w = [side.a[0] - p[0], side.a[1] - p[1]];
    const t = (w[0] * e[1] - w[1] * e[0]) / det;
    const u = (w[0] * d[1] - w[1] * d[0]) / det;
    if (t <= 1e-9 || t >= (nearest?.t ?? most) || u < 0 || u > 1) continue;
    nearest = { t, side };
  }
  if (!nearest) return undefined;
  const { n } = nearest.side;
  return n[0] * from.n[0] + n[1] * from.n[1] < FACING ? nearest.t : undefined;
}
