/** What pictures show of a film: `make` takes grain off metal and ground, and so does the page. */
import { applyFits, chooseFits, type FilterChoice } from '../../tracer/film-filter.ts';
import { type FilterGuide, inShared, sharedFloats, spreadRows } from '../../tracer/film-guide.ts';
import { type FilmState, meanFilm } from '../../tracer/film-state.ts';
import type { LookCrew } from './crew.ts';

/** A filtered film of one colourway, linear RGB. */
export interface CleanFilm {
  plane: number;
  data: Float32Array;
}

/** Filters the films of one take as they grow. Nobody may be at work on the film meanwhile. */
export class FilmCleaner {
  private readonly crew: LookCrew;
  private readonly film: FilmState;
  private readonly colourways: number;
  private readonly seed: number;
  private guided: { guide: FilterGuide; choice: FilterChoice } | undefined;
  /** ms that it took last, and when it was done */
  private took = 0;
  private done = 0;

  /** @param colourways of the film's planes, without the matte */
  constructor(crew: LookCrew, film: FilmState, colourways: number, seed: number) {
    this.crew = crew;
    this.film = film;
    this.colourways = colourways;
    this.seed = seed;
  }

  /** Whether as much time has gone into tracing as into the filter. */
  get due(): boolean {
    return performance.now() - this.done >= WORTH * this.took;
  }

  /** The film as it stands now. @param well by all that `make` knows of its pixels */
  async clean(plane: number, well: boolean): Promise<CleanFilm> {
    const begun = performance.now();
    const guide = this.guide(await this.crew.features(this.seed, well));
    this.guided = { guide, choice: await chooseFits(guide, this.crew.filter) };
    const clean = await this.again(plane);
    this.done = performance.now();
    this.took = this.done - begun;
    return clean;
  }

  /** Another colourway of the film as it stood when it was filtered last. */
  async again(plane: number): Promise<CleanFilm> {
    if (!this.guided) return this.clean(plane, true);
    const { guide, choice } = this.guided;
    const [data] = await applyFits(guide, this.crew.filter, choice, [meanFilm(this.film, plane)]);
    return { plane, data };
  }

  /** What is being filtered, in the colourway that is chosen when it is done. */
  async worn(filtering: Promise<CleanFilm>, chosen: () => number): Promise<CleanFilm> {
    let clean = await filtering;
    while (clean.plane !== chosen()) clean = await this.again(chosen());
    return clean;
  }

  private guide(features: Float32Array): FilterGuide {
    const { film, colourways } = this;
    const { width, height } = film;
    const mean = sharedFloats(width * height * 3);
    for (let c = 0; c < colourways; c++) {
      const plane = meanFilm(film, c);
      for (let i = 0; i < mean.length; i++) mean[i] += plane[i] / colourways;
    }
    return { width, height, features, mean, spread: inShared(spreadRows(film, colourways, 0, film.tilesY)) };
  }
}

/** Time for tracing, as a multiple of the filter's. */
const WORTH = 1.5;
