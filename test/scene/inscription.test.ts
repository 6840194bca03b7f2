import { Matrix4, PerspectiveCamera, Vector3 } from 'three';
import { describe, expect, it } from 'vitest';
import type { ShotPlan } from '../../pipeline/plan/plan.ts';
import { aimCamera } from '../../pipeline/scene/camera.ts';
import { composeShot } from '../../pipeline/scene/view.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { lettersDesign, plainBand } from '../setting/marked-designs.ts';

const shot = { view: 'inside', widthPx: 900, heightPx: 600 } as ShotPlan;

describe('the view into the bore', () => {
  it.each([
    [Math.PI, 'second', 1],
    [0.7, 'second', 1],
    [-2, 'second', 1],
    // seen from the other side of the band
    [0.7, 'first', -1],
  ] as const)(
    'shows letters at θ = %f, heads towards the %s edge, upright, from left to right, over the near wall',
    async (atRad, heads, way) => {
      const shape = await buildShape(
        plainBand({
          chordToleranceMm: 0.05,
          engraving: { inside: lettersDesign({ text: 'OI8', atRad, heads }) },
        }),
      );
      const composition = composeShot('inside', [shape]);
      const { eye, target, up, fovY } = aimCamera(shot, composition);
      const camera = new PerspectiveCamera((fovY * 180) / Math.PI, 1.5, 1, 1000);
      camera.position.set(...eye);
      camera.up.set(...up);
      camera.lookAt(new Vector3(...target));
      camera.updateMatrixWorld();
      const toView = new Matrix4().multiplyMatrices(camera.projectionMatrix, camera.matrixWorldInverse);
      const bore = shape.innerDiameterMm / 2;
      const seen = (s: number, t: number) => {
        const theta = atRad + (way * s) / bore;
        return new Vector3(bore * Math.sin(theta), bore * Math.cos(theta), way * t)
          .applyMatrix4(composition.bands[0].toWorld)
          .applyMatrix4(toView);
      };
      const [left, right, foot, head] = [seen(-1.5, 0), seen(1.5, 0), seen(0, -0.75), seen(0, 0.75)];
      expect(left.x).toBeLessThan(-0.2);
      expect(right.x).toBeGreaterThan(0.2);
      expect(head.y).toBeGreaterThan(foot.y + 0.1);
      expect(head.x).toBeCloseTo(foot.x, 3);
      for (const p of [left, right, foot, head])
        expect(Math.max(Math.abs(p.x), Math.abs(p.y))).toBeLessThan(1);
      // the sight line to the letters' foot passes over the near wall: in the plane of its edge it is inside the bore
      const e = new Vector3(...eye).applyMatrix4(composition.bands[0].toWorld.clone().invert());
      const p = new Vector3(bore * Math.sin(atRad), bore * Math.cos(atRad), -0.75 * way);
      const edge = e.clone().lerp(p, (2.5 * way - e.z) / (p.z - e.z));
      expect(way * e.z).toBeGreaterThan(2.5);
      expect(Math.hypot(edge.x, edge.y)).toBeLessThan(bore - 0.3);
    },
  );
});
