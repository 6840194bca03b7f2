/** A point of a flat drawing. */
export type FlatPoint = readonly [x: number, y: number];

/** A step of an outline, as fonts and drawings have them: lines, and Bézier curves of two and three degrees. */
export interface OutlineStep {
  command: 'moveTo' | 'lineTo' | 'quadraticCurveTo' | 'bezierCurveTo' | 'closePath';
  /** x and y of control points and end, one after the other */
  args: number[];
}

/**
 * Closed contours in chords. A Bézier curve with n parts strays from them by at most |B″| / 8n² (de Casteljau; for the
 * quadratic |B″| = 2 |p₀ − 2p₁ + p₂|, for the cubic 6 times the larger of its two second differences).
 * @param chord as long as the points that `at` gives
 */
export function flattened(
  steps: readonly OutlineStep[],
  at: (x: number, y: number) => FlatPoint,
  chord: number,
): FlatPoint[][] {
  const contours: FlatPoint[][] = [];
  let contour: FlatPoint[] = [];
  const bend = (a: FlatPoint, b: FlatPoint, c: FlatPoint) =>
    Math.hypot(a[0] - 2 * b[0] + c[0], a[1] - 2 * b[1] + c[1]);
  const curve = (second: number, point: (u: number) => FlatPoint) => {
    const parts = Math.max(1, Math.ceil(Math.sqrt(second / (8 * chord))));
    for (let k = 1; k <= parts; k++) contour.push(point(k / parts));
  };
  for (const { command, args } of steps) {
    const p = Array.from({ length: args.length / 2 }, (_, k) => at(args[2 * k], args[2 * k + 1]));
    const from = contour[contour.length - 1];
    if (command === 'moveTo') contour = [p[0]];
    else if (command === 'lineTo') contour.push(p[0]);
    else if (command === 'quadraticCurveTo')
      curve(2 * bend(from, p[0], p[1]), (u) => bezier([from, ...p], u));
    else if (command === 'bezierCurveTo')
      curve(6 * Math.max(bend(from, p[0], p[1]), bend(p[0], p[1], p[2])), (u) => bezier([from, ...p], u));
    else {
      contours.push(withoutRepeats(contour));
      contour = [];
    }
  }
  return contours.filter((c) => c.length > 2);
}

/** De Casteljau's scheme. */
function bezier(points: FlatPoint[], u: number): FlatPoint {
  if (points.length === 1) return points[0];
  return bezier(
    points.slice(1).map((b, i): FlatPoint => {
      const a = points[i];
      return [a[0] + u * (b[0] - a[0]), a[1] + u * (b[1] - a[1])];
    }),
    u,
  );
}

/** Points that fall on the one before them are dropped, and a last one on the first. */
function withoutRepeats(contour: FlatPoint[]): FlatPoint[] {
  return contour.filter((p, i) => {
    const before = contour[(i + contour.length - 1) % contour.length];
    return Math.hypot(p[0] - before[0], p[1] - before[1]) > 1e-6;
  });
}
