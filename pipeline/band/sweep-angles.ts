import type { SeamCurve } from './seam-curve.ts';

/** Bounds on how far triangles may stray from the surface they stand for. */
export interface Fineness {
  /** mm between a chord and its arc, round the band */
  chordMm: number;
  /** the same across the section, where every chord on a convex side takes metal off the mass */
  sectionChordMm: number;
  /** rad the normal may turn from one vertex to the next round the band */
  turnRound: number;
  /** the same across the section, where the radii are small */
  turnAcross: number;
}

/**
 * Reflections judge a polished band before its outline does, so turning is bounded along with the chord: vertices carry
 * the surface's own normals, and between two of them at equal radius the interpolated normal is the circle's own.
 */
export function finenessOf(chordToleranceMm: number): Fineness {
  const scale = Math.sqrt(chordToleranceMm / 0.008);
  return {
    chordMm: chordToleranceMm,
    sectionChordMm: chordToleranceMm / 16,
    turnRound: 0.04 * scale,
    turnAcross: 0.17 * scale,
  };
}

const SURVEY = 4096;

/**
 * Angles of the sections, increasing from 0, at least as dense everywhere as the ring's roundness and the seams'
 * curvature ask for: densities are surveyed, summed round the band, and divided into equal parts.
 * @param longestMm edge round the band that must not be passed, for surfaces with detail of their own
 */
export function sweepAngles(
  seams: SeamCurve[],
  radius: number,
  fineness: Fineness,
  longestMm = Number.POSITIVE_INFINITY,
): Float64Array {
  const step = (2 * Math.PI) / SURVEY;
  const total = new Float64Array(SURVEY + 1);
  for (let i = 0; i < SURVEY; i++) {
    total[i + 1] =
      total[i] + step * Math.max(radius / longestMm, density((i + 0.5) * step, seams, radius, fineness));
  }
  const count = Math.max(48, Math.ceil(total[SURVEY]));
  const angles = new Float64Array(count);
  let cell = 0;
  for (let i = 0; i < count; i++) {
    const wanted = (total[SURVEY] * i) / count;
    while (total[cell + 1] <= wanted) cell++;
    angles[i] = (cell + (wanted - total[cell]) / (total[cell + 1] - total[cell])) * step;
  }
  return angles;
}

/** The same angles with the given ones among them: one that is near takes the place of its neighbour. */
export function withAngles(angles: Float64Array, given: readonly number[]): Float64Array {
  if (given.length === 0) return angles;
  const turn = 2 * Math.PI;
  const wanted = [...new Set(given.map((theta) => theta - turn * Math.floor(theta / turn)))].sort(
    (a, b) => a - b,
  );
  const apart = wanted.filter((theta, i) => i === 0 || theta - wanted[i - 1] > 1e-6);
  const room = (turn / angles.length) * 0.3;
  const kept = [...angles].filter((theta) => {
    const nearest = Math.min(
      ...apart.map((other) => Math.abs(((theta - other + 3 * Math.PI) % turn) - Math.PI)),
    );
    return nearest > room;
  });
  return Float64Array.from([...kept, ...apart].sort((a, b) => a - b));
}

/** Steps per radian wanted at θ. A chord over dθ of a curve with second derivative b strays |b| dθ² / 8. */
function density(theta: number, seams: SeamCurve[], radius: number, fineness: Fineness): number {
  let wanted = Math.max(1 / fineness.turnRound, Math.sqrt(radius / (8 * fineness.chordMm)));
  for (const seam of seams) {
    const bend = Math.abs(seam.bend(theta));
    const yawRate = bend / radius / (1 + (seam.slope(theta) / radius) ** 2);
    wanted = Math.max(wanted, Math.sqrt(bend / (8 * fineness.chordMm)), yawRate / (2 * fineness.turnRound));
  }
  return wanted;
}
