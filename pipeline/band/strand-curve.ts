type Point = readonly [x: number, y: number, z: number];

/** A wire's centre line by θ, which is also its own parameter, with its derivatives; mm. */
export interface StrandCurve {
  z(theta: number): number;
  r(theta: number): number;
  /** by θ: first and second */
  dz: readonly [(theta: number) => number, (theta: number) => number];
  dr: readonly [(theta: number) => number, (theta: number) => number];
}

export function pointAt({ r, z }: StrandCurve, theta: number): Point {
  const radius = r(theta);
  return [radius * Math.sin(theta), radius * Math.cos(theta), z(theta)];
}

/** First and second derivative of the centre line by θ. */
export function derivativesAt(curve: StrandCurve, theta: number): [Point, Point] {
  const [sin, cos] = [Math.sin(theta), Math.cos(theta)];
  const r = curve.r(theta);
  const [r1, r2] = [curve.dr[0](theta), curve.dr[1](theta)];
  return [
    [r1 * sin + r * cos, r1 * cos - r * sin, curve.dz[0](theta)],
    [r2 * sin + 2 * r1 * cos - r * sin, r2 * cos - 2 * r1 * sin - r * cos, curve.dz[1](theta)],
  ];
}

/** Length of the first derivative by θ, and of its cross product with the second: that by the cube of this is the curvature. */
export function bendAt(curve: StrandCurve, theta: number): { speed: number; turning: number } {
  const [d, dd] = derivativesAt(curve, theta);
  const cross = [d[1] * dd[2] - d[2] * dd[1], d[2] * dd[0] - d[0] * dd[2], d[0] * dd[1] - d[1] * dd[0]];
  return { speed: Math.hypot(...d), turning: Math.hypot(...cross) };
}

/** Length of a wire's centre line, mm, by Simpson's rule. */
export function strandLength(curve: StrandCurve, repeats: number): number {
  const parts = 256 * repeats;
  const speed = (theta: number) => Math.hypot(...derivativesAt(curve, theta)[0]);
  let sum = 0;
  for (let i = 0; i < parts; i++) {
    const [a, b] = [i, i + 1].map((k) => (2 * Math.PI * k) / parts);
    sum += ((b - a) / 6) * (speed(a) + 4 * speed((a + b) / 2) + speed(b));
  }
  return sum;
}
