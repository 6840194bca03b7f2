/**
 * A section's outer and inner curve: circular arcs about mid-width, or level lines, in (z, r).
 *
 * With signed curvature c the curve is r(z) = midR − facing · c z² / (1 + √(1 − c² z²)), the sagitta form of a
 * circle of radius 1/c, which is exact for c = 0 too. The metal bulges outward on either side where c > 0.
 */
export interface ProfileArc {
  /** r at mid-width, mm */
  midR: number;
  /** 1/mm; 0 = level, positive = metal domed towards the open side */
  curvature: number;
  /** +1: metal lies below (outside of the band), −1: metal lies above (bore) */
  facing: 1 | -1;
}

/** Curvature of the circular arc of sagitta `sagittaMm` over the chord `widthMm`. */
export function curvatureOf(sagittaMm: number, widthMm: number): number {
  return (2 * sagittaMm) / ((widthMm * widthMm) / 4 + sagittaMm * sagittaMm);
}

export function radiusAt(arc: ProfileArc, z: number): number {
  const c = arc.curvature;
  return arc.midR - (arc.facing * c * z * z) / (1 + Math.sqrt(1 - c * c * z * z));
}

/** dr/dz */
export function slopeAt(arc: ProfileArc, z: number): number {
  const c = arc.curvature;
  return (-arc.facing * c * z) / Math.sqrt(1 - c * c * z * z);
}

/** Unit outward normal (nz, nr) at z: the curve's surface of revolution has no other component. */
export function normalAt(arc: ProfileArc, z: number): [number, number] {
  const sine = arc.curvature * z;
  return [sine, arc.facing * Math.sqrt(1 - sine * sine)];
}

/** The parallel curve `depth` inside the metal: where the centre of a tangent circle of that radius runs. */
export function parallelArc(arc: ProfileArc, depth: number): ProfileArc {
  return {
    midR: arc.midR - arc.facing * depth,
    curvature: arc.curvature / (1 - arc.curvature * depth),
    facing: arc.facing,
  };
}

/** z of the point where a circle of radius `depth` centred at `centreZ` on the parallel curve touches the arc. */
export function tangentZ(arc: ProfileArc, centreZ: number, depth: number): number {
  return centreZ / (1 - arc.curvature * depth);
}

/** The arc moved towards the metal by `recessMm`, measured radially. */
export function loweredArc(arc: ProfileArc, recessMm: number): ProfileArc {
  return { ...arc, midR: arc.midR - arc.facing * recessMm };
}
