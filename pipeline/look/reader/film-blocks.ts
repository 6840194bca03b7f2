import { emptiedFilm, type FilmSize, type FilmState, filmBytes, filmState } from '../../tracer/film-state.ts';

/** That of a first picture, that of the film which grows after it, and one of another size. */
const KEPT = 3;

/** The memory of films, used again and again: touching fresh memory takes a tenth of a first picture's time. */
export class FilmBlocks {
  /** the one used last at the end */
  private blocks: ArrayBufferLike[] = [];

  /** A film without samples. @param shown the only other one that is still wanted */
  film(size: FilmSize, shown: FilmState | undefined): FilmState {
    const bytes = filmBytes(size);
    const spare = this.blocks.find((block) => block.byteLength === bytes && block !== shown?.buffer);
    const film = spare ? emptiedFilm(size, spare) : filmState(size);
    this.blocks = [...this.blocks.filter((block) => block !== spare), film.buffer].slice(-KEPT);
    return film;
  }
}
