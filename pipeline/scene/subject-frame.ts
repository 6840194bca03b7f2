import { Vector3 } from 'three';
import type { BuiltShape } from '../band/built-shape.ts';
import type { ShotPlan } from '../plan/plan.ts';
import { aimCamera } from './camera.ts';
import { outline } from './outline.ts';
import type { Camera } from './trace-scene.ts';
import { composeShot } from './view.ts';

/** Where the subject stands in its frame, shares of width and height from the top left corner; may go beyond 0…1. */
export interface SubjectFrame {
  left: number;
  top: number;
  right: number;
  bottom: number;
  /** the frame cuts through the bands, as a close-up does; then the bounds are those of what is shown on purpose */
  cut?: true;
}

/**
 * Bounds of what a shot frames, by projection of its solids: exact on any ground and for the lightest metal, whose
 * edges no threshold finds in a picture. A turntable has one for all of its frames.
 */
export function subjectFrame(shot: ShotPlan, shapes: readonly BuiltShape[]): SubjectFrame {
  const composition = composeShot(shot.view, shapes, shot.turn?.angle, shot.laid);
  const camera = aimCamera(shot, composition);
  const aspect = shot.widthPx / shot.heightPx;
  const whole = boundsOf(outline(composition.bands), camera, aspect);
  const cut = whole.left < 0 || whole.top < 0 || whole.right > 1 || whole.bottom > 1;
  return { ...boundsOf(composition.points, camera, aspect), ...(cut ? { cut } : {}) };
}

function boundsOf(points: readonly Vector3[], camera: Camera, aspect: number): SubjectFrame {
  const eye = new Vector3(...camera.eye);
  const forward = new Vector3(...camera.target).sub(eye).normalize();
  const right = new Vector3().crossVectors(forward, new Vector3(...camera.up)).normalize();
  const up = new Vector3().crossVectors(right, forward);
  const t = Math.tan(camera.fovY / 2);
  const b = { left: Infinity, top: Infinity, right: -Infinity, bottom: -Infinity };
  const d = new Vector3();
  for (const p of points) {
    d.subVectors(p, eye);
    const depth = d.dot(forward) * t;
    const x = 0.5 + d.dot(right) / (2 * depth * aspect);
    const y = 0.5 - d.dot(up) / (2 * depth);
    b.left = Math.min(b.left, x);
    b.right = Math.max(b.right, x);
    b.top = Math.min(b.top, y);
    b.bottom = Math.max(b.bottom, y);
  }
  return b;
}
