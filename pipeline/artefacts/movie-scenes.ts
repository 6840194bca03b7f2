/** What moving pictures show: the frames of one turntable in one colourway, or the colourways of one take. */
import { movieName } from '../plan/movie-plan.ts';
import type { MovieOutput, Sku } from '../plan/plan.ts';
import { type Shown, shownOf } from './clean-film.ts';
import { FILM, type TakeWork } from './film.ts';
import type { Planning } from './kind.ts';

export interface MovieScene {
  /** the shot, or the turntable without a frame's number */
  shot: string;
  skus: Sku[];
  frames: { take: TakeWork; shown: Shown; colourway: number; skus: Sku[] }[];
}

export function movieScenes(
  planning: Planning,
  { of, shot }: Pick<MovieOutput, 'of' | 'shot'>,
): MovieScene[] {
  const takes = planning
    .pieces(FILM)
    .filter(({ take }) => shot === undefined || movieName(take.shot) === shot || take.shot.name === shot);
  return of === 'turntable' ? turntables(takes, planning) : colourways(takes, planning);
}

function framesOf(take: TakeWork, planning: Planning): MovieScene['frames'] {
  const shown = shownOf(take, planning);
  return take.take.colourways.map(({ pictures }, colourway) => ({
    take,
    shown,
    colourway,
    skus: pictures.map(({ sku }) => sku),
  }));
}

/** Frames that belong together: those of one turntable that one band is shown in. */
function turntables(takes: readonly TakeWork[], planning: Planning): MovieScene[] {
  const found = new Map<string, MovieScene>();
  for (const take of takes.filter((t) => t.take.shot.turn)) {
    const shot = movieName(take.take.shot);
    for (const frame of framesOf(take, planning)) {
      const id = JSON.stringify([shot, frame.skus]);
      const scene = found.get(id) ?? { shot, skus: frame.skus, frames: [] };
      found.set(id, scene);
      scene.frames.push(frame);
    }
  }
  const at = (frame: MovieScene['frames'][number]) => frame.take.take.shot.turn?.frame ?? 0;
  return [...found.values()].map((scene) => ({
    ...scene,
    frames: scene.frames.sort((a, b) => at(a) - at(b)),
  }));
}

/** A band in all metals and stones that were traced together, if there are several. */
function colourways(takes: readonly TakeWork[], planning: Planning): MovieScene[] {
  return takes
    .filter((t) => !t.take.shot.turn)
    .flatMap((take) => {
      const frames = framesOf(take, planning).filter(({ skus }) => skus.length > 0);
      const skus = [...new Set(frames.flatMap((f) => f.skus))];
      return frames.length > 1 ? [{ shot: take.take.shot.name, skus, frames }] : [];
    });
}
