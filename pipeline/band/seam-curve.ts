/** A closed curve z(θ) round the band with its first two derivatives by θ (mm, mm/rad, mm/rad²). */
export interface SeamCurve {
  z(theta: number): number;
  slope(theta: number): number;
  bend(theta: number): number;
  /** angles where z(θ) has its extremes; empty when z is constant */
  extremes: number[];
}

export function levelCurve(z: number): SeamCurve {
  return { z: () => z, slope: () => 0, bend: () => 0, extremes: [] };
}
