import type { TraceScene } from '../../pipeline/scene/trace-scene.ts';
import type { TraceOptions, TraceResult } from '../../pipeline/tracer/tracer.ts';

/** A take whose films are grey at once, handed over as a tracer must: for tests of everything but the light. */
export async function greyTake(
  { width, height, colourways }: TraceScene,
  { onFilm }: Pick<TraceOptions, 'onFilm'> = {},
): Promise<TraceResult> {
  const films = colourways.map(() => ({
    width,
    height,
    data: new Float32Array(3 * width * height).fill(0.5),
  }));
  for (const [plane, film] of films.entries()) await onFilm?.(film, plane);
  return { films: onFilm ? [] : films, error: 0.01, passes: 16, paths: 1, seconds: 0.1 };
}
