import type { SeamDesign } from '../catalogue/design.ts';
import { splineCurve } from './periodic-spline.ts';

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

export function seamCurve(seam: SeamDesign): SeamCurve {
  switch (seam.kind) {
    case 'straight':
      return levelCurve(seam.atMm);
    case 'wave':
      return waveCurve(seam);
    case 'drift':
      return driftCurve(seam);
    case 'points':
      return splineCurve(seam.zMm, seam.phaseRad);
  }
}

/** z = mean + half · sin(θ − phase): the slowest curve that crosses over the top and closes. */
function driftCurve({ fromMm, toMm, phaseRad }: Extract<SeamDesign, { kind: 'drift' }>): SeamCurve {
  const mean = (fromMm + toMm) / 2;
  const half = (toMm - fromMm) / 2;
  return {
    z: (theta) => mean + half * Math.sin(theta - phaseRad),
    slope: (theta) => half * Math.cos(theta - phaseRad),
    bend: (theta) => -half * Math.sin(theta - phaseRad),
    extremes: [phaseRad - Math.PI / 2, phaseRad + Math.PI / 2],
  };
}

/**
 * z = at + A · asin(k sin x) / asin k with x = nθ + phase and k the sharpness: k → 0 is the sine, k → 1 the
 * zigzag, and for every k < 1 the curve is smooth with straighter flanks and tighter crests.
 */
function waveCurve(seam: Extract<SeamDesign, { kind: 'wave' }>): SeamCurve {
  const { atMm, amplitudeMm, periods, phaseRad } = seam;
  // below this the sine's error is under 1e-9 of the amplitude, and asin k / k loses no digits
  const k = Math.max(seam.sharpness, 1e-5);
  const scale = amplitudeMm / Math.asin(k);
  const argument = (theta: number) => periods * theta + phaseRad;
  const root = (x: number) => Math.sqrt(1 - (k * Math.sin(x)) ** 2);
  return {
    z: (theta) => atMm + scale * Math.asin(k * Math.sin(argument(theta))),
    slope: (theta) => {
      const x = argument(theta);
      return (scale * periods * k * Math.cos(x)) / root(x);
    },
    bend: (theta) => {
      const x = argument(theta);
      return (-scale * periods * periods * k * (1 - k * k) * Math.sin(x)) / root(x) ** 3;
    },
    extremes: waveExtremes(periods, phaseRad),
  };
}

function waveExtremes(periods: number, phaseRad: number): number[] {
  if (periods === 0) return [];
  return Array.from({ length: 2 * periods }, (_, i) => (Math.PI * (i + 0.5) - phaseRad) / periods);
}
