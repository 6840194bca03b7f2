import { PerspectiveCamera, Vector3 } from 'three';
import { describe, expect, it } from 'vitest';
import type { ShotPlan } from '../../pipeline/plan/plan.ts';
import { aimCamera, lensRadius } from '../../pipeline/scene/camera.ts';
import { depthOf } from '../../pipeline/scene/framing.ts';
import { forEachVertex } from '../../pipeline/scene/pose.ts';
import type { Camera } from '../../pipeline/scene/trace-scene.ts';
import { composeShot } from '../../pipeline/scene/view.ts';
import { plainShot as shot } from './plain-shot.ts';
import { torusShape } from './torus-shape.ts';

/** Frame coordinates by three.js as the reference. */
function projector(camera: Camera, aspect: number) {
  const three = new PerspectiveCamera((camera.fovY * 180) / Math.PI, aspect, 1, 2000);
  three.position.set(...camera.eye);
  three.up.set(...camera.up);
  three.lookAt(new Vector3(...camera.target));
  three.updateMatrixWorld();
  return (p: Vector3) => p.clone().project(three);
}

describe('lens', () => {
  it('an f-number is focal length over diameter (ISO 517); focal length and field of view: tan(v/2) = 12 mm/f', () => {
    // a 24 mm high sensor sees 2·atan(12/85) = 16.07° through 85 mm
    const fovY = 2 * Math.atan(12 / 85);
    expect(lensRadius({ fNumber: 10 }, fovY)).toBeCloseTo(8.5 / 2, 9);
    expect(lensRadius({ mm: 3 }, fovY)).toBe(1.5);
  });

  it('gentle: the far end of a band in the frame is seen as discs of 0.6 % of its height (thin lens)', () => {
    for (const view of ['three-quarter', 'macro', 'flat-lay'] as const) {
      const composition = composeShot(view, [torusShape(17, 1.2)]);
      const camera = aimCamera(shot({ view, aperture: { gentle: true } }), composition);
      const f = camera.focusDistance;
      const project = projector(camera, 1);
      let widest = 0;
      forEachVertex(composition.bands[0], (p) => {
        const at = project(p);
        if (Math.hypot(at.x, at.y) > 0.98) return;
        const z = depthOf(camera, p);
        widest = Math.max(widest, (2 * camera.lensRadius * Math.abs(z - f)) / z);
      });
      const high = 2 * f * Math.tan(camera.fovY / 2);
      expect(widest / high).toBeLessThan(0.0061);
      expect(widest / high).toBeGreaterThan(0.005);
    }
    expect(aimCamera(shot({ view: 'front' }), composeShot('front', [torusShape(17, 1.2)])).lensRadius).toBe(
      0,
    );
  });

  it('focuses on the front of a plain band', () => {
    const composition = composeShot('front', [torusShape(17, 1.2)]);
    const camera = aimCamera(shot({ view: 'front', aperture: { mm: 2 } }), composition);
    expect(camera.lensRadius).toBe(1);
    let nearest = Number.POSITIVE_INFINITY;
    forEachVertex(composition.bands[0], (p) => {
      nearest = Math.min(nearest, depthOf(camera, p));
    });
    expect(Math.abs(camera.focusDistance - nearest)).toBeLessThan(0.05);
  });
});

describe('scale', () => {
  it('a frame width holds at the band: a stick of that length across its middle reaches from edge to edge', () => {
    const scaled = shot({ scale: { frameMm: 40 }, widthPx: 800, heightPx: 500 });
    const camera = aimCamera(scaled, composeShot('three-quarter', [torusShape(17, 1.2)]));
    const project = projector(camera, 1.6);
    const right = new Vector3(...camera.target)
      .sub(new Vector3(...camera.eye))
      .cross(new Vector3(...camera.up))
      .normalize();
    const end = new Vector3(...camera.target).addScaledVector(right, 20);
    expect(project(end).x).toBeCloseTo(1, 6);
  });

  it('shows two sizes in true proportion, the larger one as it would be framed alone', () => {
    const width = (inner: number, parts: Partial<ShotPlan>) => {
      const composition = composeShot('front', [torusShape(inner, 1)]);
      const project = projector(aimCamera(shot({ view: 'front', ...parts }), composition), 1);
      let most = 0;
      for (const p of composition.points) most = Math.max(most, Math.abs(project(p).x));
      return most;
    };
    const scale = { largest: { innerDiameterMm: 21, thicknessMm: 2, widthMm: 2 } };
    // closed form: outer diameters 19 and 25 mm
    expect(width(15, { scale }) / width(21, { scale })).toBeCloseTo(19 / 25, 2);
    expect(width(15, {}) / width(21, {})).toBeCloseTo(1, 2);
    expect(Math.abs(width(21, { scale }) / width(21, {}) - 1)).toBeLessThan(0.02);
  });
});

describe('turntable', () => {
  it('stands still: every frame has one camera, the band turns, and nothing is ever cropped', () => {
    const shape = torusShape(17, 1.2);
    const cameras = [0, 1, 2.2, 4].map((angle) => {
      const composition = composeShot('turntable', [shape], angle);
      const camera = aimCamera(shot({ view: 'turntable' }), composition);
      const project = projector(camera, 1);
      forEachVertex(composition.bands[0], (p) => {
        const q = project(p);
        expect(Math.max(Math.abs(q.x), Math.abs(q.y))).toBeLessThan(0.95);
      });
      return camera;
    });
    for (const c of cameras) {
      c.eye.forEach((v, k) => {
        expect(Math.abs(v - cameras[0].eye[k])).toBeLessThan(0.3);
      });
    }
  });
});
