import { PassShare } from '../pass-share.ts';

/** where `PassShare` counts paths */
const PATHS = 2;

/** A card's view of a take's passes: it has all tiles at once and takes no units. */
export class CardShare extends PassShare {
  /** The tiles of the pass that was dealt in so many units. */
  tiles(units: number): number[] {
    const tiles: number[] = [];
    for (let i = 0; i < units; i++) if (this.list[3 * i] !== tiles.at(-1)) tiles.push(this.list[3 * i]);
    return tiles;
  }

  addPaths(paths: number): void {
    Atomics.add(this.counts, PATHS, paths);
  }
}
