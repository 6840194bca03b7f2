import type { TraceScene } from '../scene/trace-scene.ts';
import type { CheckpointKeeper } from './checkpoint.ts';

export interface TraceOptions {
  /** decides every random number together with pixel and sample index */
  seed: number;
  /** error at which a tile stops: a share of a mid grey's light, by film-error.ts */
  noiseTarget: number;
  /** most samples per pixel */
  passCap: number;
  signal?: AbortSignal;
  /** how many times to halve what the take needs of memory, by fewer workers; 0 unless given. Decides no bit */
  relief?: number;
  onProgress?: (p: TraceProgress) => void;
  /**
   * Takes the films one by one, colourways in the scene's order, then the matte, then the guide if it is wanted; the next is developed when it
   * resolves and may use its memory, and the result then holds none. Sixteen films of 1600² pixels are half a gigabyte.
   */
  onFilm?: (film: Film, plane: number) => Promise<void>;
  /** whether `onFilm` also gets what the film filter needs (`film-guide.ts`) */
  guide?: boolean;
  /** pictures will show the filtered film: metal and ground may keep the grain that it takes off (`film-error.ts`) */
  filtered?: boolean;
  /** keeps what is done so far, and gives it back to a take that begins again: the films are the same bits */
  checkpoints?: CheckpointKeeper;
}

export interface TraceProgress {
  /** passes done on the tile that has had most */
  passes: number;
  /** share of pixels that still need samples */
  open: number;
  /** error of the worst open tile */
  worst: number;
  /** root mean square error over tiles */
  error: number;
  paths: number;
  /** those before an interruption included */
  seconds: number;
  /** bytes that this process and the browser hold, where the system tells */
  memory?: number;
}

export interface Film {
  width: number;
  height: number;
  /** linear RGB, top row first */
  data: Float32Array;
}

/** What a take used of processors, whoever else was at work on them. */
export interface ProcessorUse {
  /** seconds of processor time a path, all workers together */
  perPath: number;
  /** seconds of it beside paths: a page, its code, films on their way */
  setUp: number;
}

export interface TraceResult {
  /** one per colourway, in the scene's order; none if `onFilm` has taken them */
  films: Film[];
  /** of a take on clear ground: red is coverage, green what shows through of the ground (see `matte.ts`) */
  matte?: Film;
  /** root mean square over tiles of the error reached */
  error: number;
  passes: number;
  paths: number;
  seconds: number;
  /** where the system tells, and no other take ran in the same browser */
  processor?: ProcessorUse;
  /** doubles of tests say nothing */
  by?: TracedBy;
}

/** Engines that trace; the key of every film names its own, since engines agree within noise and not bit for bit. */
export type EngineId = 'wasm-simd' | 'webgpu';
/** The engine of a run that names none. */
export const ENGINE: EngineId = 'wasm-simd';
export const ENGINES: readonly EngineId[] = [ENGINE, 'webgpu'];

/** Who has traced a take, and with what. */
export interface TracedBy {
  engine: EngineId;
  /** the graphics card and its driver */
  adapter?: string;
  /** why the processor has traced what a card was asked for */
  instead?: string;
}

/** A backend. All backends must agree within noise. */
export interface Tracer {
  /** what it traces with; doubles of tests say nothing and stand for any */
  readonly engine?: EngineId;
  trace(scene: TraceScene, options: TraceOptions): Promise<TraceResult>;
  /** a page of HTML as PDF, for backends that live in a browser */
  print?(html: string): Promise<Uint8Array>;
  /**
   * Calls a function that a script puts on `globalThis`, in a page with WebGL and nothing else, for backends that live
   * in a browser. Order and answer are plain data.
   */
  draw?(script: string, name: string, order: unknown): Promise<unknown>;
  /** the same in a page with a secure context, and so with the browser's own codecs, but without WebGL */
  film?(script: string, name: string, order: unknown): Promise<unknown>;
  close(): Promise<void>;
}
