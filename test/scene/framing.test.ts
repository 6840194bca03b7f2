import { PerspectiveCamera, Vector3 } from 'three';
import { describe, expect, it } from 'vitest';
import type { ShotName } from '../../pipeline/plan/plan.ts';
import { framePoints } from '../../pipeline/scene/framing.ts';
import { forEachVertex } from '../../pipeline/scene/pose.ts';
import { composeShot } from '../../pipeline/scene/view.ts';
import { torusShape } from './torus-shape.ts';

const views: ShotName[] = ['three-quarter', 'front', 'flat-lay', 'profile', 'pair'];

describe('framePoints', () => {
  // reference: three.js PerspectiveCamera projects every vertex
  it.each(views.flatMap((v) => [1, 0.8, 16 / 9].map((a) => [v, a] as const)))(
    '%s at aspect %f crops nothing and fills the frame',
    (view, aspect) => {
      const { bands, points, direction, fill } = composeShot(view, [
        torusShape(17, 1.2),
        torusShape(20, 1.5),
      ]);
      const { camera } = framePoints(points, direction, fill, aspect);
      const three = new PerspectiveCamera((camera.fovY * 180) / Math.PI, aspect, 1, 2000);
      three.position.set(...camera.eye);
      three.up.set(...camera.up);
      three.lookAt(new Vector3(...camera.target));
      three.updateMatrixWorld();
      let x = 0;
      let y = 0;
      for (const band of bands)
        forEachVertex(band, (p) => {
          const q = p.clone().project(three);
          x = Math.max(x, Math.abs(q.x));
          y = Math.max(y, Math.abs(q.y));
        });
      expect(x).toBeLessThan(0.95);
      expect(y).toBeLessThan(0.95);
      // one of the two directions is filled as asked
      expect(Math.max(x / fill.x, y / (fill.y + 2 * fill.lift))).toBeGreaterThan(0.97);
    },
  );
});
