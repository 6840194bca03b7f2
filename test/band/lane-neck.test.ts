import { describe, expect, it } from 'vitest';
import { lanesOf } from '../../pipeline/band/lane.ts';
import { laneNeck } from '../../pipeline/band/lane-neck.ts';
import { outsideSurface } from '../../pipeline/band/outside.ts';
import { midRadius } from '../../pipeline/band/profile.ts';
import type { SeamDesign } from '../../pipeline/plan/seam-design.ts';
import { bandDesign } from './designs.ts';

/** The middle lane of a flat band between two seams. */
function between(seams: [SeamDesign, SeamDesign]) {
  const lanes = ['a', 'b', 'c'].map((name) => ({ name, recessMm: 0, softenMm: 0 }));
  const design = bandDesign({ widthMm: 8, seams, lanes });
  return { lane: lanesOf(design)[1], r: midRadius(outsideSurface(design)) };
}
const wave = (atMm: number, sharpness: number, amplitudeMm = 0.8): SeamDesign => ({
  kind: 'wave',
  atMm,
  amplitudeMm,
  periods: 6,
  sharpness,
  phaseRad: 0.3,
});

describe('the neck of a lane', () => {
  it('between level seams is their distance', () => {
    const { lane } = between([
      { kind: 'straight', atMm: -0.4 },
      { kind: 'straight', atMm: 0.7 },
    ]);
    expect(laneNeck(lane).width).toBeCloseTo(1.1, 12);
  });

  it('between a wave and a level seam lies under its crest', () => {
    const { lane } = between([wave(-1, 0), { kind: 'straight', atMm: 1 }]);
    expect(laneNeck(lane).width).toBeCloseTo(2 - 0.8, 9);
  });

  it('between parallel flanks is their height times the cosine of the slope (parallel lines)', () => {
    // at sharpness k the flank’s slope is A·n·k / (r · asin k) where the wave crosses its mean, and it is nearly straight
    const k = 0.95;
    const { lane, r } = between([wave(-0.3, k), wave(0.3, k)]);
    const slope = (0.8 * 6 * k) / (r * Math.asin(k));
    expect(laneNeck(lane).width / (0.6 * Math.cos(Math.atan(slope)))).toBeCloseTo(1, 2);
  });

  it('is that of all pairs of points', () => {
    const { lane, r } = between([wave(-0.7, 0.4), { kind: 'drift', fromMm: 0.6, toMm: 1.3, phaseRad: 1 }]);
    let least = Number.POSITIVE_INFINITY;
    for (let i = 0; i < 2000; i++) {
      const theta = (2 * Math.PI * i) / 2000;
      for (let turn = -0.3; turn <= 0.3; turn += 0.001)
        least = Math.min(
          least,
          Math.hypot(r * turn, lane.high.curve.z(theta + turn) - lane.low.curve.z(theta)),
        );
    }
    expect(laneNeck(lane).width).toBeCloseTo(least, 3);
  });
});
