import type { SeamCurve } from './seam-curve.ts';

/** Growth of the homogeneous solution of M₋₁ + 4 M₀ + M₊₁ = 0. */
const DECAY = Math.sqrt(3) - 2;

/**
 * Second derivatives at the knots of the periodic cubic spline through evenly spaced values. They solve the circulant
 * system M₋₁ + 4 M₀ + M₊₁ = 6 (y₋₁ − 2 y₀ + y₊₁) / h², whose inverse is (ρʲ + ρⁿ⁻ʲ) / (2√3 (1 − ρⁿ)), ρ = √3 − 2.
 */
function knotBends(values: readonly number[], step: number): number[] {
  const n = values.length;
  const pull = values.map(
    (y, i) => (6 * (values[(i + n - 1) % n] - 2 * y + values[(i + 1) % n])) / (step * step),
  );
  const share = values.map((_, j) => (DECAY ** j + DECAY ** (n - j)) / (2 * Math.sqrt(3) * (1 - DECAY ** n)));
  return values.map((_, i) => pull.reduce((sum, f, k) => sum + f * share[(i - k + n) % n], 0));
}

/** The closed curve with two continuous derivatives through three or more values of z, evenly spaced from `first` on. */
export function splineCurve(values: readonly number[], first: number): SeamCurve {
  const n = values.length;
  const step = (2 * Math.PI) / n;
  const bends = knotBends(values, step);
  const piece = (i: number) => {
    const k = (i + 1) % n;
    return { y0: values[i], y1: values[k], m0: bends[i], m1: bends[k] };
  };
  const locate = (theta: number) => {
    const turns = (theta - first) / (2 * Math.PI);
    const place = (turns - Math.floor(turns)) * n;
    const i = Math.min(n - 1, Math.floor(place));
    return { ...piece(i), t: place - i };
  };
  return {
    z: (theta) => {
      const { y0, y1, m0, m1, t } = locate(theta);
      const s = 1 - t;
      return s * y0 + t * y1 + ((step * step) / 6) * ((s ** 3 - s) * m0 + (t ** 3 - t) * m1);
    },
    slope: (theta) => {
      const { y0, y1, m0, m1, t } = locate(theta);
      return (y1 - y0) / step + (step / 6) * ((1 - 3 * (1 - t) ** 2) * m0 + (3 * t * t - 1) * m1);
    },
    bend: (theta) => {
      const { m0, m1, t } = locate(theta);
      return (1 - t) * m0 + t * m1;
    },
    extremes: values.flatMap((_, i) => turningPoints(piece(i), step).map((t) => first + (i + t) * step)),
  };
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
