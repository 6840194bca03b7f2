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

/** Places for the values of a remembered curve, a power of two: some turns at every quarter degree. */
const KEPT = 8192;

/** The same curve for who asks again and again at the same angles, as all that looks a band over does. */
export function rememberedCurve(curve: SeamCurve): SeamCurve {
  const own = { z: remembered(curve.z), slope: remembered(curve.slope), bend: remembered(curve.bend) };
  return withExtremes(own, () => curve.extremes);
}

const ANGLE = new Float64Array(1);
const ANGLE_BITS = new Int32Array(ANGLE.buffer);

/** A value stays until another angle's falls on its place. Plain arrays of numbers: a Map makes an object of every angle. */
function remembered(f: (theta: number) => number): (theta: number) => number {
  let angles: Float64Array | undefined;
  let values: Float64Array;
  return (theta) => {
    if (!angles) {
      angles = new Float64Array(KEPT).fill(Number.NaN);
      values = new Float64Array(KEPT);
    }
    ANGLE[0] = theta + 0; // −0 and 0 have one place
    const hash = Math.imul(ANGLE_BITS[0] ^ Math.imul(ANGLE_BITS[1], 0x9e3779b1), 0x85ebca6b);
    const at = (hash ^ (hash >>> 15)) & (KEPT - 1);
    if (angles[at] !== theta) {
      values[at] = f(theta);
      angles[at] = theta;
    }
    return values[at];
  };
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
