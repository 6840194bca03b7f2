import type { PeakSeam } from '../plan/seam-design.ts';
import type { SeamCurve } from './seam-curve.ts';

/** Shares of half the span that each foot takes to either side of its corner, of a V and of an arch. */
const FOOT = { v: 0.25, arch: 0.5 } as const;

/**
 * Three corners of a hat, z = s (R(θ + σ, f) − 2 R(θ, p) + R(θ − σ, f)), each rounded over a half angle of its own: R is
 * the ramp max(0, θ) averaged under a triangle of that half width, so that z has two continuous derivatives. The tip is
 * rounded over p = roundness · σ, and the feet end just where the span does.
 */
export function peakCurve({ atMm, heightMm, spanRad, roundness, phaseRad }: PeakSeam): SeamCurve {
  const half = spanRad / 2;
  const foot = half * (FOOT.v + (FOOT.arch - FOOT.v) * roundness);
  const corner = half - foot;
  const tip = roundness * corner;
  const sum = (of: typeof ramp) => (theta: number) => {
    const turn = theta - phaseRad;
    const t = turn - 2 * Math.PI * Math.round(turn / (2 * Math.PI));
    return of(t + corner, foot) - 2 * of(t, tip) + of(t - corner, foot);
  };
  const height = sum(ramp);
  const rise = heightMm / height(phaseRad);
  const scaled = (f: (theta: number) => number) => (theta: number) => rise * f(theta);
  const above = scaled(height);
  return {
    z: (theta) => atMm + above(theta),
    slope: scaled(sum(rampSlope)),
    bend: scaled(sum(rampBend)),
    extremes: heightMm === 0 ? [] : [phaseRad, phaseRad + Math.PI],
  };
}

/** The triangle of half width w and area 1, and its first two integrals. */
function rampBend(t: number, w: number): number {
  return Math.max(0, 1 - Math.abs(t) / w) / w;
}

function rampSlope(t: number, w: number): number {
  const u = Math.min(1, Math.max(-1, t / w));
  return 0.5 + u - (u * Math.abs(u)) / 2;
}

function ramp(t: number, w: number): number {
  if (t <= -w) return 0;
  if (t >= w) return t;
  const u = t / w;
  return w * (1 / 6 + u / 2 + (u * u) / 2 - Math.abs(u) ** 3 / 6);
}
