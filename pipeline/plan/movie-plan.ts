import type { Config } from './config-schema.ts';
import type { Findings } from './findings.ts';
import { framedOutputs } from './frames.ts';
import type { MovieOutput, ShotPlan } from './plan.ts';

/** Moving pictures with their frames and shots; a frame or shot that the config does not have is reported. */
export function planMovies(
  { outputs }: Config,
  shots: readonly ShotPlan[],
  findings: Findings,
): { movies?: MovieOutput[] } {
  const able = {
    turntable: [...new Set(shots.filter((s) => s.turn).map(movieName))],
    colourways: shots.filter((s) => !s.turn).map((s) => s.name),
  };
  const movies = outputs.movies.flatMap(({ frame, ...movie }, i): MovieOutput[] => {
    const at = ['outputs', 'movies', i];
    const names = able[movie.of];
    if (movie.shot !== undefined && !names.includes(movie.shot))
      findings.add({
        code: 'unknown-shot',
        path: [...at, 'shot'],
        expected:
          names.length > 0
            ? `one of ${names.join(', ')}`
            : `a shot that is ${movie.of === 'turntable' ? 'a turntable' : 'still'}`,
        received: JSON.stringify(movie.shot),
        advice:
          'Turntables turn, and colourways change in still shots: name one of these or add it to the shots.',
      });
    const shot = movie.shot ?? (movie.of === 'colourways' ? names[0] : undefined);
    const written = { ...movie, ...(shot === undefined ? {} : { shot }) };
    return framedOutputs(
      written,
      frame === undefined ? undefined : [frame],
      outputs.frames,
      [...at, 'frame'],
      findings,
    );
  });
  return movies.length > 0 ? { movies } : {};
}

/** Name of the turntable that a frame belongs to: its own without the number. */
export const movieName = ({ name }: Pick<ShotPlan, 'name'>) => name.replace(/-\d+$/, '');
