import { PerspectiveCamera, Vector3 } from 'three';
import { describe, expect, it } from 'vitest';
import type { ShotPlan } from '../../pipeline/plan/plan.ts';
import { aimCamera } from '../../pipeline/scene/camera.ts';
import { forEachVertex } from '../../pipeline/scene/pose.ts';
import { subjectFrame } from '../../pipeline/scene/subject-frame.ts';
import { composeShot } from '../../pipeline/scene/view.ts';
import { plainShot } from './plain-shot.ts';
import { torusShape } from './torus-shape.ts';

const shot = (parts: Partial<ShotPlan>) => plainShot({ widthPx: 500, ...parts });

describe('where a subject stands in its frame', () => {
  it.each(['three-quarter', 'front', 'flat-lay', 'profile'] as const)(
    'is where three.js projects its vertices, in %s',
    (view) => {
      const plan = shot({ view });
      const shape = torusShape(17, 1);
      const composition = composeShot(view, [shape]);
      const camera = aimCamera(plan, composition);
      const three = new PerspectiveCamera((camera.fovY * 180) / Math.PI, 500 / 400, 1, 2000);
      three.position.set(...camera.eye);
      three.up.set(...camera.up);
      three.lookAt(new Vector3(...camera.target));
      three.updateMatrixWorld();
      const found = subjectFrame(plan, [shape]);
      const seen = { left: 1, top: 1, right: 0, bottom: 0 };
      forEachVertex(composition.bands[0], (p) => {
        const { x, y } = p.clone().project(three);
        seen.left = Math.min(seen.left, (x + 1) / 2);
        seen.right = Math.max(seen.right, (x + 1) / 2);
        seen.top = Math.min(seen.top, (1 - y) / 2);
        seen.bottom = Math.max(seen.bottom, (1 - y) / 2);
      });
      // outlines take every third vertex
      for (const side of ['left', 'top', 'right', 'bottom'] as const)
        expect(Math.abs(found[side] - seen[side])).toBeLessThan(2e-3);
      expect(found.cut).toBeUndefined();
    },
  );

  it('says when the picture cuts the band, and keeps still while a turntable turns', () => {
    expect(subjectFrame(shot({ view: 'macro' }), [torusShape(17, 1)]).cut).toBe(true);
    const turned = [0, 1].map((angle) =>
      subjectFrame(shot({ view: 'turntable', turn: { angle, frame: 1, of: 24 } }), [torusShape(17, 1)]),
    );
    for (const side of ['left', 'top', 'right', 'bottom'] as const)
      expect(Math.abs(turned[0][side] - turned[1][side])).toBeLessThan(0.01);
  });
});
