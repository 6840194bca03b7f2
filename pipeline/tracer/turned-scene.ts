/**
 * A band that turns before still lights. The mesh and its tree stay where they are, and everything else goes round them
 * the other way, so that a turn costs next to nothing: camera and lights are laid anew, and the light on the ground,
 * whose measuring takes a tenth of a second, is turned as it is.
 */
import type { Camera, TraceScene, Vec3 } from '../scene/trace-scene.ts';
import { turnedGrid } from './ground-grid.ts';
import * as at from './kernel/layout.ts';
import { MemoryView } from './kernel-memory.ts';
import { layLights } from './light-records.ts';
import { layCamera } from './scene-memory.ts';

export interface ViewTurn {
  /** of the band about the vertical, radians, anticlockwise seen from above */
  angle: number;
  /** of the camera towards the zenith, radians */
  rise: number;
}

/** Elevations between which the camera may be moved, radians: above the ground, and short of straight down. */
const LOWEST = 0.02;
const HIGHEST = 1.5;

/**
 * The scene as it is seen when its bands have turned about the vertical through their middle and the camera has risen.
 * @param middle x and z of what turns, mm
 */
export function turnedScene(
  scene: TraceScene,
  { angle, rise }: ViewTurn,
  [mx, mz]: [number, number],
): TraceScene {
  const { direction, point } = turning(angle, [mx, mz]);
  const { camera, lights, sky } = scene;
  return {
    ...scene,
    camera: turnedCamera(camera, { angle, rise }, [mx, mz]),
    lights: lights.map((l) => ({ ...l, centre: point(l.centre), u: direction(l.u), v: direction(l.v) })),
    ...(sky ? { sky: { ...sky, turn: sky.turn - angle / (2 * Math.PI) } } : {}),
  };
}

/** The camera of such a scene. */
export function turnedCamera(camera: Camera, { angle, rise }: ViewTurn, middle: [number, number]): Camera {
  const { point } = turning(angle, middle);
  const risen = risenEye(camera.eye, camera.target, rise);
  return { ...camera, eye: point(risen), target: point(camera.target), up: [0, 1, 0] };
}

/** How all but the band goes round. */
function turning(angle: number, [mx, mz]: [number, number]) {
  const c = Math.cos(-angle);
  const s = Math.sin(-angle);
  const direction = ([x, y, z]: Vec3): Vec3 => [c * x + s * z, y, c * z - s * x];
  const point = ([x, y, z]: Vec3): Vec3 => {
    const [u, v, w] = direction([x - mx, y, z - mz]);
    return [u + mx, v, w + mz];
  };
  return { direction, point };
}

function risenEye(eye: Vec3, target: Vec3, rise: number): Vec3 {
  const [x, y, z] = [eye[0] - target[0], eye[1] - target[1], eye[2] - target[2]];
  const away = Math.hypot(x, y, z);
  const flat = Math.max(Math.hypot(x, z), 1e-9);
  const lift = Math.min(HIGHEST, Math.max(LOWEST, Math.asin(y / away) + rise));
  const share = (away * Math.cos(lift)) / flat;
  return [target[0] + x * share, target[1] + away * Math.sin(lift), target[2] + z * share];
}

/** Lays what a turn changes over a loaded scene. @param rest the grid as it was measured, before any turn */
export function layTurn(
  scene: TraceScene,
  memory: WebAssembly.Memory,
  rest: Float32Array,
  angle: number,
): void {
  const view = new MemoryView(memory.buffer);
  const words = new Uint32Array(memory.buffer);
  const floats = new Float32Array(memory.buffer);
  const bound = [...floats.subarray(at.BOUND / 4, at.BOUND / 4 + 4)];
  layLights(
    view,
    scene,
    bound,
    words[at.LIGHT_BLOCKS_AT / 4],
    words[at.LIGHTS_AT / 4],
    words[at.LIGHT_BLOCKS / 4],
  );
  layCamera(view, scene);
  if (scene.sky) view.floats(at.SKY_TURN, scene.sky.turn);
  floats.set(turnedGrid(rest, floats[at.GRID_STRETCH / 4], angle), at.IRRADIANCE / 4);
}
