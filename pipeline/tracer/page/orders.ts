/** What passes between the page of a take and its workers, and between Node and the page. */
import type { FilmSize } from '../film-state.ts';
import type { Pass } from '../pass-share.ts';

/** Node → page, as JSON. */
export interface TakeOrder extends FilmSize {
  seed: number;
  noiseTarget: number;
  passCap: number;
  workers: number;
  /** ms between progress reports */
  every: number;
}

/** Page → worker. `begin` comes once, first. */
export type WorkerOrder =
  | {
      kind: 'begin';
      wasm: WebAssembly.Module;
      scene: SharedArrayBuffer;
      size: FilmSize;
      film: SharedArrayBuffer;
      share: SharedArrayBuffer;
    }
  | { kind: 'pass'; pass: Pass };

/** Worker → page, one answer for every order. */
export type WorkerAnswer = { kind: 'done' } | { kind: 'failed'; why: string };
