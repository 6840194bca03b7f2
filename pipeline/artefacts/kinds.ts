/** Every kind of artefact, each after those that it is made from. A new kind is a file and a line here. */
import { CLEAN_FILM } from './clean-film.ts';
import { COMPARISON } from './comparison.ts';
import { FILM } from './film.ts';
import { ITEM } from './item.ts';
import type { AnyKind, PieceCostKind } from './kind.ts';
import { MODEL } from './model.ts';
import { MOVIE } from './movie.ts';
import { PART } from './part.ts';
import { PICTURE } from './picture.ts';
import { PROOF } from './proof.ts';
import { SHEET } from './sheet.ts';
import { SINGLE_MODEL } from './single-model.ts';
import { GEOMETRY, SOLID } from './solid.ts';
import { SWATCH } from './swatch.ts';
import { USD_MESHES } from './usd-meshes.ts';

export const KINDS: readonly AnyKind[] = [
  GEOMETRY,
  SOLID,
  FILM,
  CLEAN_FILM,
  PICTURE,
  SWATCH,
  MOVIE,
  MODEL,
  PART,
  USD_MESHES,
  SINGLE_MODEL,
  COMPARISON,
  SHEET,
  PROOF,
  ITEM,
];

/** What is counted, timed and foretold of all kinds, by name. */
export const PIECE_COSTS: ReadonlyMap<string, PieceCostKind<unknown>> = new Map(
  KINDS.flatMap(({ costs = [] }) => costs.map((cost) => [cost.name, cost])),
);
