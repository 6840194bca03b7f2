import type { TraceScene } from '../../pipeline/scene/trace-scene.ts';
import { GUIDE_PLANES } from '../../pipeline/tracer/film-guide.ts';
import { filmPlanes } from '../../pipeline/tracer/matte.ts';
import type { TraceOptions, TraceResult } from '../../pipeline/tracer/tracer.ts';

/** A take whose films are grey at once, handed over as a tracer must: for tests of everything but the light. */
export async function greyTake(
  scene: TraceScene,
  options: Pick<TraceOptions, 'onFilm' | 'guide'> = {},
): Promise<TraceResult> {
  const { width, height } = scene;
  const film = (v: number) => ({ width, height, data: new Float32Array(3 * width * height).fill(v) });
  const films = scene.colourways.map(() => film(0.5));
  const matte = filmPlanes(scene) > films.length ? [film(0.5)] : [];
  for (const [plane, made] of [...films, ...matte].entries()) await options.onFilm?.(made, plane);
  await emptyGuide(scene, options);
  return { films: options.onFilm ? [] : films, error: 0.01, passes: 16, paths: 1, seconds: 0.1 };
}

/** Hands over a guide that says nothing, if one is wanted: films stay as they are. */
export async function emptyGuide(
  scene: TraceScene,
  { onFilm, guide }: Pick<TraceOptions, 'onFilm' | 'guide'>,
): Promise<void> {
  const { width, height } = scene;
  for (let i = 0; guide && i < GUIDE_PLANES; i++)
    await onFilm?.({ width, height, data: new Float32Array(3 * width * height) }, filmPlanes(scene) + i);
}
