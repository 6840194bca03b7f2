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

/** Values of a remembered curve before it starts anew: some turns at every quarter degree. */
const MOST_KEPT = 8192;

/** The same curve for who asks again and again at the same angles, as all that looks a band over does. */
export function rememberedCurve(curve: SeamCurve): SeamCurve {
  const kept = (f: (theta: number) => number) => {
    const known = new Map<number, number>();
    return (theta: number) => {
      let value = known.get(theta);
      if (value === undefined) {
        if (known.size >= MOST_KEPT) known.clear();
        value = f(theta);
        known.set(theta, value);
      }
      return value;
    };
  };
  const own = { z: kept(curve.z), slope: kept(curve.slope), bend: kept(curve.bend) };
  return withExtremes(own, () => curve.extremes);
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
