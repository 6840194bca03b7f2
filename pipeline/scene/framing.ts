import { Vector3 } from 'three';
import type { Camera } from './trace-scene.ts';

/** Where the camera looks from. Angles in radians; azimuth 0 looks along −z, positive goes to the right. */
export interface CameraDirection {
  azimuth: number;
  elevation: number;
  /** vertical field of view; a long lens keeps a ring's proportions */
  fovY: number;
}

export interface FrameFill {
  /** share of the frame's width and height that the subject's bounds may take */
  x: number;
  y: number;
  /** how far above the frame's middle the subject's bounds are centred, share of the frame's height */
  lift: number;
}

/** Frame coordinates of the subject's bounds, −1…1 from left to right and bottom to top. */
export interface FrameBounds {
  left: number;
  right: number;
  bottom: number;
  top: number;
}

interface Axes {
  forward: Vector3;
  right: Vector3;
  up: Vector3;
}

function axesOf(direction: CameraDirection): Axes {
  const ce = Math.cos(direction.elevation);
  const back = new Vector3(
    Math.sin(direction.azimuth) * ce,
    Math.sin(direction.elevation),
    Math.cos(direction.azimuth) * ce,
  );
  const forward = back.clone().negate();
  const right = new Vector3(Math.cos(direction.azimuth), 0, -Math.sin(direction.azimuth));
  const up = new Vector3().crossVectors(right, forward);
  return { forward, right, up };
}

function project(
  points: readonly Vector3[],
  eye: Vector3,
  axes: Axes,
  fovY: number,
  aspect: number,
): FrameBounds {
  const t = Math.tan(fovY / 2);
  const b = { left: Infinity, right: -Infinity, bottom: Infinity, top: -Infinity };
  const d = new Vector3();
  for (const p of points) {
    d.subVectors(p, eye);
    const depth = d.dot(axes.forward);
    const x = d.dot(axes.right) / (depth * t * aspect);
    const y = d.dot(axes.up) / (depth * t);
    if (x < b.left) b.left = x;
    if (x > b.right) b.right = x;
    if (y < b.bottom) b.bottom = y;
    if (y > b.top) b.top = y;
  }
  return b;
}

/**
 * The camera that shows all of the points: their projected bounds are centred (but for `fill.lift`) and fill the
 * stated share of the frame, whichever of width and height is reached first. With a `distance` (mm from the frame's
 * centre) the camera stands there and only centres, so that pictures share one scale.
 */
export function framePoints(
  points: readonly Vector3[],
  direction: CameraDirection,
  fill: FrameFill,
  aspect: number,
  distance?: number,
): { camera: Camera; bounds: FrameBounds; distance: number } {
  const axes = axesOf(direction);
  const centre = new Vector3();
  for (const p of points) centre.addScaledVector(p, 1 / points.length);
  let away = distance ?? 150;
  const t = Math.tan(direction.fovY / 2);
  const eye = new Vector3();
  let bounds: FrameBounds = { left: -1, right: 1, bottom: -1, top: 1 };
  for (let i = 0; i < 20; i++) {
    eye.copy(centre).addScaledVector(axes.forward, -away);
    bounds = project(points, eye, axes, direction.fovY, aspect);
    const scale = Math.max(
      (bounds.right - bounds.left) / (2 * fill.x),
      (bounds.top - bounds.bottom) / (2 * fill.y),
    );
    const dx = (bounds.right + bounds.left) / 2;
    const dy = (bounds.top + bounds.bottom) / 2 - 2 * fill.lift;
    centre.addScaledVector(axes.right, dx * t * aspect * away).addScaledVector(axes.up, dy * t * away);
    if (distance === undefined) away *= scale;
  }
  eye.copy(centre).addScaledVector(axes.forward, -away);
  bounds = project(points, eye, axes, direction.fovY, aspect);
  return {
    bounds,
    distance: away,
    camera: {
      eye: [eye.x, eye.y, eye.z],
      target: [centre.x, centre.y, centre.z],
      up: [axes.up.x, axes.up.y, axes.up.z],
      fovY: direction.fovY,
      lensRadius: 0,
      focusDistance: away,
    },
  };
}

/** How far in front of a camera a point lies, mm along its line of sight. */
export function depthOf(camera: Camera, p: Vector3): number {
  const eye = new Vector3(...camera.eye);
  const forward = new Vector3(...camera.target).sub(eye).normalize();
  return p.clone().sub(eye).dot(forward);
}
