import type { BuiltShape } from '../band/built-shape.ts';
import type { ShotPlan } from '../plan/plan.ts';
import type { SkyMap } from '../scene/sky-map.ts';
import {
  buildTakeScene,
  type FinishSurface,
  type PosedTake,
  type SubjectColours,
} from '../scene/take-scene.ts';
import type { GemOptics, TraceScene } from '../scene/trace-scene.ts';
import type { LaneMatter } from '../trade/matter.ts';

/** How a take's bands look, as values: what tables and names they come from decides no film. */
export interface TakeLooks {
  /** of each band, lane by lane */
  finishes: FinishSurface[][];
  /** likewise, of lanes that are not metal all through; absent where all are */
  matters?: (LaneMatter | null)[][];
  bore: FinishSurface;
  /** of each band, slot by slot */
  gems: GemOptics[][];
  /** of each colourway, band by band */
  colours: SubjectColours[][];
}

/** `map`: the decoded picture of a studio whose sky is one; `pose`: what `poseTake` gives for the shot and the shapes. */
export function takeScene(
  shot: ShotPlan,
  { finishes, matters, bore, gems, colours }: TakeLooks,
  shapes: readonly BuiltShape[],
  map?: SkyMap,
  pose?: PosedTake,
): TraceScene {
  const subjects = shapes.map((shape, i) => ({
    shape,
    finishes: finishes[i],
    ...(matters && { matters: matters[i] }),
    bore,
    gems: gems[i],
  }));
  return buildTakeScene(shot, subjects, colours, map, pose);
}

/** Width of what the frame shows at the depth of the camera's aim, mm: the scale of the picture. */
export function frameWidth({ camera: { eye, target, fovY }, width, height }: TraceScene): number {
  const distance = Math.hypot(...eye.map((v, i) => v - target[i]));
  return (2 * distance * Math.tan(fovY / 2) * width) / height;
}
