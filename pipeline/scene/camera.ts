import type { Vector3 } from 'three';
import type { Aperture } from '../plan/measure.ts';
import type { ShotPlan } from '../plan/plan.ts';
import { depthOf, framePoints } from './framing.ts';
import { largestRing, outline, stoneCentres } from './outline.ts';
import { layBeside } from './pair.ts';
import type { Camera } from './trace-scene.ts';
import { type Composition, composeShot } from './view.ts';

/** Height of the sensor that an f-number speaks of, mm: full frame, 36 × 24. Common practice. */
const SENSOR_HEIGHT = 24;

/** Widest disc that a gentle lens makes of a point of a band in the frame, share of the frame's height: 9 of 1500 px. */
const GENTLE = 0.006;

/** Radius of the lens opening in mm. An f-number is the focal length over the opening's diameter (ISO 517). */
export function lensRadius(aperture: Exclude<Aperture, { gentle: true }>, fovY: number): number {
  if ('mm' in aperture) return aperture.mm / 2;
  const focalLength = SENSOR_HEIGHT / (2 * Math.tan(fovY / 2));
  return focalLength / aperture.fNumber / 2;
}

/** Frames and focuses a shot. */
export function aimCamera(shot: ShotPlan, composition: Composition): Camera {
  const { direction, fill, points } = composition;
  const aspect = shot.widthPx / shot.heightPx;
  const distance = scaleDistance(shot, composition, aspect);
  const { camera } = framePoints(points, direction, fill, aspect, distance);
  const { aperture } = shot;
  if (!aperture) return camera;
  camera.focusDistance = focusDepth(camera, composition, aspect);
  camera.lensRadius =
    'gentle' in aperture ? gentleRadius(camera, composition, aspect) : lensRadius(aperture, direction.fovY);
  return camera;
}

/** A point at depth z is seen as a disc of 2 R |z − f| / z at the depth f in focus (thin lens). */
function gentleRadius(camera: Camera, { bands }: Composition, aspect: number): number {
  const { focusDistance, fovY } = camera;
  const apart = outline(bands)
    .filter((p) => sees(camera, p, aspect))
    .map((p) => depthOf(camera, p))
    .reduce((most, z) => Math.max(most, Math.abs(z - focusDistance) / z), 0);
  const high = 2 * focusDistance * Math.tan(fovY / 2);
  return apart > 0 ? (GENTLE * high) / (2 * apart) : 0;
}

/** Where the camera of a shot of one scale stands: so that the frame's width is as given, or as the largest needs. */
function scaleDistance(shot: ShotPlan, { direction, fill }: Composition, aspect: number): number | undefined {
  if (!shot.scale) return undefined;
  if ('frameMm' in shot.scale) return shot.scale.frameMm / (2 * Math.tan(direction.fovY / 2) * aspect);
  const ring = largestRing(shot.scale.largest);
  const { points } = composeShot(shot.view, [ring, ring], 0, shot.laid);
  // beside each other bands take the most room, and a stack of equal ones always holds
  const beside = shot.laid === 'stacked' ? outline(layBeside([ring, ring])) : [];
  return framePoints([...points, ...beside], direction, fill, aspect).distance;
}

/** Depth of the nearest stone in the frame or, on plain bands, of the nearest metal. */
function focusDepth(camera: Camera, { bands, focus }: Composition, aspect: number): number {
  if (focus === 'middle') return camera.focusDistance;
  const stones = bands.flatMap(stoneCentres).map((s) => s.at);
  const inFrame = stones.filter((p) => sees(camera, p, aspect));
  const candidates = inFrame.length > 0 ? inFrame : outline(bands);
  return candidates.reduce((least, p) => Math.min(least, depthOf(camera, p)), Number.POSITIVE_INFINITY);
}

function sees(camera: Camera, p: Vector3, aspect: number): boolean {
  const depth = depthOf(camera, p);
  const away = Math.hypot(p.x - camera.eye[0], p.y - camera.eye[1], p.z - camera.eye[2]);
  const half = depth * Math.tan(camera.fovY / 2);
  // within the circle round the frame: corners don't matter for focus
  return Math.sqrt(Math.max(away * away - depth * depth, 0)) < half * Math.max(aspect, 1);
}
