import fc from 'fast-check';
import { Matrix4, Quaternion } from 'three';
import { describe, expect, it } from 'vitest';
import { placementRotation } from '../../pipeline/model/placement.ts';

describe('placement rotation', () => {
  it('agrees with three.js for rotations of every kind, half turns included', () => {
    const part = fc.double({ min: -1, max: 1, noNaN: true });
    const unit = fc.tuple(part, part, part, part).filter((q) => Math.hypot(...q) > 0.1);
    const check = (given: number[]) => {
      const q = new Quaternion(...(given as [number, number, number, number])).normalize();
      const e = new Matrix4().makeRotationFromQuaternion(q).elements;
      const got = placementRotation([e[0], e[4], e[8], 0, e[1], e[5], e[9], 0, e[2], e[6], e[10], 0]);
      // q and −q are one rotation
      expect(Math.abs(q.x * got[0] + q.y * got[1] + q.z * got[2] + q.w * got[3])).toBeCloseTo(1, 10);
      expect(Math.hypot(...got)).toBeCloseTo(1, 12);
    };
    fc.assert(fc.property(unit, check));
    for (const turn of [
      [1, 0, 0, 0],
      [0, 1, 0, 0],
      [0, 0, 1, 0],
      [0, 0, 0, 1],
      [1, 1, 0, 0],
      [0, 1, 1, 0],
    ])
      check(turn);
  });
});
