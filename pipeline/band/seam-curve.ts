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

/** Places for values of a remembered curve all round, a power of two: some look a band over at every quarter degree. */
const PLACES = 2048;
const PER_RADIAN = PLACES / (2 * Math.PI);

/**
 * The same curve for who asks again and again at the same angles, as all that looks a band over does. The value of the
 * angle last asked for at each place is kept.
 */
export function rememberedCurve(curve: SeamCurve): SeamCurve {
  const kept = (f: (theta: number) => number) => {
    let angles: Float64Array | undefined;
    let values: Float64Array;
    return (theta: number) => {
      if (!angles) {
        angles = new Float64Array(PLACES).fill(Number.NaN);
        values = new Float64Array(PLACES);
      }
      const place = Math.floor(theta * PER_RADIAN) & (PLACES - 1);
      if (angles[place] !== theta) {
        values[place] = f(theta);
        angles[place] = theta;
      }
      return values[place];
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
