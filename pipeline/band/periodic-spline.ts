import type { SeamCurve } from './seam-curve.ts';

/**
 * Second derivatives M at the knots of the periodic cubic spline through values y at knots h apart:
 * h₋₁ M₋₁ + 2 (h₋₁ + h) M + h M₊₁ = 6 ((y₊₁ − y) / h − (y − y₋₁) / h₋₁), a cyclic tridiagonal system, solved as a
 * tridiagonal one and a correction of rank one (Sherman and Morrison).
 */
function knotBends(values: readonly number[], steps: readonly number[]): number[] {
  const n = values.length;
  const before = (i: number) => steps[(i + n - 1) % n];
  const rise = (i: number) => (values[(i + 1) % n] - values[i]) / steps[i];
  const pull = values.map((_, i) => 6 * (rise(i) - rise((i + n - 1) % n)));
  const diagonal = values.map((_, i) => 2 * (before(i) + steps[i]));
  const corner = steps[n - 1];
  const shift = -diagonal[0];
  diagonal[0] -= shift;
  diagonal[n - 1] -= (corner * corner) / shift;
  const spike = values.map((_, i) => (i === 0 ? shift : i === n - 1 ? corner : 0));
  const [own, aside] = [pull, spike].map((right) => tridiagonal(steps, diagonal, right));
  const ratio = corner / shift;
  const by = (own[0] + ratio * own[n - 1]) / (1 + aside[0] + ratio * aside[n - 1]);
  return own.map((m, i) => m - by * aside[i]);
}

/** Solves a symmetric system by elimination (Thomas); `beside[i]` couples rows i and i + 1. */
function tridiagonal(
  beside: readonly number[],
  diagonal: readonly number[],
  right: readonly number[],
): number[] {
  const pivots = [...diagonal];
  const x = [...right];
  for (let i = 1; i < x.length; i++) {
    const share = beside[i - 1] / pivots[i - 1];
    pivots[i] -= share * beside[i - 1];
    x[i] -= share * x[i - 1];
  }
  for (let i = x.length - 1; i >= 0; i--)
    x[i] = (x[i] - (i + 1 < x.length ? beside[i] * x[i + 1] : 0)) / pivots[i];
  return x;
}

const TURN = 2 * Math.PI;

/**
 * The closed curve with two continuous derivatives through three or more values of z.
 * @param angles of the values from `first` on, rising, the last less than a turn; evenly spaced if absent
 */
export function splineCurve(
  values: readonly number[],
  first: number,
  angles: readonly number[] = values.map((_, i) => (TURN * i) / values.length),
): SeamCurve {
  const n = values.length;
  const steps = angles.map((at, i) => (i + 1 < n ? angles[i + 1] : TURN + angles[0]) - at);
  const bends = knotBends(values, steps);
  const pieces = values.map((y0, i) => {
    const k = (i + 1) % n;
    return { y0, y1: values[k], m0: bends[i], m1: bends[k], step: steps[i], from: angles[i] };
  });
  const locate = (theta: number) => {
    const turns = (theta - first - angles[0]) / TURN;
    const at = angles[0] + (turns - Math.floor(turns)) * TURN;
    const piece = pieces[lastUpTo(angles, at)];
    return { piece, t: (at - piece.from) / piece.step };
  };
  return {
    z: (theta) => {
      const { piece, t } = locate(theta);
      const { y0, y1, m0, m1, step } = piece;
      const s = 1 - t;
      return s * y0 + t * y1 + ((step * step) / 6) * ((s ** 3 - s) * m0 + (t ** 3 - t) * m1);
    },
    slope: (theta) => {
      const { piece, t } = locate(theta);
      const { y0, y1, m0, m1, step } = piece;
      return (y1 - y0) / step + (step / 6) * ((1 - 3 * (1 - t) ** 2) * m0 + (3 * t * t - 1) * m1);
    },
    bend: (theta) => {
      const { piece, t } = locate(theta);
      return (1 - t) * piece.m0 + t * piece.m1;
    },
    extremes: values.flatMap((_, i) =>
      turningPoints(pieces[i], steps[i]).map((t) => first + angles[i] + t * steps[i]),
    ),
  };
}

/** Index of the last that is not beyond `at`; the first if all are. */
function lastUpTo(rising: readonly number[], at: number): number {
  let [low, high] = [0, rising.length - 1];
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (rising[middle] <= at) low = middle;
    else high = middle - 1;
  }
  return low;
}

/** Turning points this close to a knot, in steps, may round to either side of it: both pieces tell them. */
const AT_KNOT = 1e-9;

/** t in [0, 1] where the slope of a piece vanishes: 3 (m1 − m0) t² + 6 m0 t − 2 m0 − m1 + 6 (y1 − y0) / h² = 0. */
function turningPoints(
  { y0, y1, m0, m1 }: Record<'y0' | 'y1' | 'm0' | 'm1', number>,
  step: number,
): number[] {
  const a = 3 * (m1 - m0);
  const b = 6 * m0;
  const c = -2 * m0 - m1 + (6 * (y1 - y0)) / (step * step);
  const root = Math.sqrt(b * b - 4 * a * c);
  if (Number.isNaN(root)) return [];
  // the root of larger size first, the other by their product: neither cancels, and a may be 0
  const q = -(b + (b < 0 ? -root : root)) / 2;
  return [q / a, c / q].filter((t) => t >= -AT_KNOT && t <= 1 + AT_KNOT);
}
