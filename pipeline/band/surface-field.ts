import { type Lane, surveyAngles } from './lane.ts';
import { outerEnd } from './lane-section.ts';

/** Relief as heights over a lane's smooth outer surface, along its normal: never above it, 0 at the lane's sides; mm. */
export type SurfaceField = (theta: number, z: number) => number;

/** Relief runs out over this width beside a seam or an edge, which stay as they were, mm. */
const RUN_OUT_MM = 0.35;

/** Where a lane's outer surface lies at θ, between its softenings. */
export function outerSpan({ low, high, outer }: Lane, theta: number): [from: number, to: number] {
  const profile = outer(theta);
  return [outerEnd(profile, low, theta), outerEnd(profile, high, theta)];
}

/** Narrowest width of a lane's outer surface between its softenings, mm. */
export function narrowestOuter(lane: Lane): { theta: number; width: number } {
  let worst = { theta: 0, width: Number.POSITIVE_INFINITY };
  for (const theta of surveyAngles(lane)) {
    const [from, to] = outerSpan(lane, theta);
    if (to - from < worst.width) worst = { theta, width: to - from };
  }
  return worst;
}

/** Relief that runs out smoothly to nothing near a lane's sides, so that they stay where they were, with the same normals. */
export function runningOut(lane: Lane, field: SurfaceField): SurfaceField {
  const runOut = Math.min(RUN_OUT_MM, narrowestOuter(lane).width / 4);
  return (theta, z) => {
    const [from, to] = outerSpan(lane, theta);
    const fade = smooth((z - from) / runOut) * smooth((to - z) / runOut);
    return fade === 0 ? 0 : fade * field(theta, z);
  };
}

/** 0 below 0, 1 above 1, with level ends. */
function smooth(t: number): number {
  const x = Math.min(1, Math.max(0, t));
  return x * x * (3 - 2 * x);
}
