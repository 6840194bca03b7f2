/** What passes between the page of a take and its workers, and between Node and the page. */
import type { FilmSize } from '../film-state.ts';
import type { KernelImage } from '../kernel-host.ts';
import type { Pass } from '../pass-share.ts';

/** Node → page, as JSON. */
export interface TakeOrder extends FilmSize {
  seed: number;
  noiseTarget: number;
  passCap: number;
  workers: number;
  /** planes that are colourways; the others of the film are a matte */
  colours: number;
  /** the film filter's planes are wanted too */
  guide: boolean;
  /** pictures will show the filtered film */
  filtered: boolean;
  /** ms between progress reports */
  every: number;
  /** seconds between checkpoints, if the page is to take any */
  checkpointEvery?: number;
  /** the page's only worker is a graphics card's (`card.ts`) */
  card?: CardOrder;
  /** Node has a checkpoint to go on from */
  resume: boolean;
}

/** What a graphics card's worker is told beside what workers are. */
export interface CardOrder {
  /** for tests: a processor that plays a graphics card may do */
  software: boolean;
}

/** A graphics card's worker → Node: which card traces, or why none does. */
export interface CardNews {
  adapter?: string;
  refused?: string;
}

/** Page → worker. `begin` comes once, first; then one worker packs the scene and the others take what it made. */
export type WorkerOrder =
  | {
      kind: 'begin';
      wasm: WebAssembly.Module;
      size: FilmSize;
      film: SharedArrayBuffer;
      share: SharedArrayBuffer;
    }
  | { kind: 'pack'; scene: SharedArrayBuffer }
  | { kind: 'adopt'; image: KernelImage }
  | { kind: 'pass'; pass: Pass }
  /** the film into its block, from the card on which it lies */
  | { kind: 'bring' }
  /** features of every `stride`th row of tiles from `first` on, into a block that begins `at` bytes into this memory */
  | { kind: 'features'; seed: number; first: number; stride: number; memory: SharedArrayBuffer; at: number };

/** Worker → page, one answer for every order; `image` answers `pack`. */
export type WorkerAnswer = { kind: 'done'; image?: KernelImage } | { kind: 'failed'; why: string };
