/**
 * The matte of a take on clear ground: a last plane of the film, traced on the same paths and shared by all colourways.
 * Red is the coverage, the share of a pixel's samples that meet band or stones. Green is what shows through: the share
 * of the ground's light that reaches the eye past band and shadow, the shadow being what objects take away. What they
 * throw onto the ground (glints, a warm gleam of gold) is not in it and stays in the films, so that for every colourway
 *     film = light of band and gleam + level · green
 * and laid over white ground a cut-out is the very picture on white ground.
 */
import type { TraceScene } from '../scene/trace-scene.ts';
import type { Film } from './tracer.ts';

/** Planes of a film: one per colourway, and the matte. */
export function filmPlanes(scene: Pick<TraceScene, 'colourways' | 'ground'>): number {
  return scene.colourways.length + (scene.ground.kind === 'clear' ? 1 : 0);
}

/** Parts the planes of a finished take into films and matte. */
export function partPlanes(planes: readonly Film[], colourways: number): { films: Film[]; matte?: Film } {
  const films = planes.slice(0, colourways);
  return planes.length > colourways ? { films, matte: planes[colourways] } : { films };
}
