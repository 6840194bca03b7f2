/** A closed curve z(θ) round the band with its first two derivatives by θ (mm, mm/rad, mm/rad²). */
export interface SeamCurve {
  z(theta: number): number;
  slope(theta: number): number;
  bend(theta: number): number;
  /** angles where z(θ) has its extremes; empty when z is constant */
  extremes: number[];
}

/** Two curves added up. @param turning finds the angles at which the sum's slope passes through zero */
export function sumOf(
  a: SeamCurve,
  b: SeamCurve,
  turning: (slope: (theta: number) => number) => number[],
): SeamCurve {
  const slope = (theta: number) => a.slope(theta) + b.slope(theta);
  const curve = {
    z: (theta: number) => a.z(theta) + b.z(theta),
    slope,
    bend: (theta: number) => a.bend(theta) + b.bend(theta),
  };
  return withExtremes(curve, () => {
    if (a.extremes.length === 0) return b.extremes;
    return b.extremes.length === 0 ? a.extremes : turning(slope);
  });
}

/** A curve whose extremes are searched for when they are first asked for. */
export function withExtremes(curve: Omit<SeamCurve, 'extremes'>, find: () => number[]): SeamCurve {
  let found: number[] | undefined;
  return {
    ...curve,
    get extremes() {
      found ??= find();
      return found;
    },
  };
}

export function levelCurve(z: number): SeamCurve {
  return { z: () => z, slope: () => 0, bend: () => 0, extremes: [] };
}
