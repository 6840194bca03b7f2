/**
 * Checkpoints: what a take has learnt so far, kept outside the tracer, so that a take whose browser, process or machine
 * went down goes on from there and ends in the same films bit for bit.
 *
 * A checkpoint is the `kept` part of a film's block, 16 bytes a pixel and colourway. It is large (41 MB for 800² in 4
 * colourways), so it goes in pieces and neither page nor Node holds it twice. It is taken while nobody is at work, between
 * two stretches of a pass.
 */
import { measureRows } from './film-error.ts';
import { type FilmSize, type FilmState, filmState, keptBytes, tileRect } from './film-state.ts';
import { nextBlock } from './pass.ts';

/** A film's kept bytes, piece by piece. */
export interface FilmPieces extends AsyncIterable<Uint8Array> {
  /** of all pieces together */
  bytes: number;
}

/** Keeps the checkpoint of one take somewhere. */
export interface CheckpointKeeper {
  /** seconds between checkpoints; 0: one after every tile's pass */
  every: number;
  /** what was saved last under this identity, checked; undefined if there is none or it is damaged */
  load(identity: string): Promise<FilmPieces | undefined>;
  /** replaces what was saved before, whole or not at all; pieces are only good until the next is asked for */
  save(identity: string, pieces: FilmPieces): Promise<void>;
}

/** Bytes of a piece: a request each on the way out of the browser. */
export const PIECE = 4 << 20;
/** Saving may take this share of the time at most, however long one save takes. */
const MOST = 0.05;

/** Pieces of a film nobody is at work on. Copies, since what is sent may not be shared memory. */
export function* piecesOf(film: FilmState): Generator<Uint8Array<ArrayBuffer>> {
  for (let at = 0; at < film.kept.length; at += PIECE)
    yield new Uint8Array(film.kept.subarray(at, at + PIECE));
}

/** A film filled from its kept bytes; undefined if they are not those of a film of this size under way. */
export async function resumeFilm(
  size: FilmSize,
  pieces: AsyncIterable<Uint8Array>,
  passCap: number,
): Promise<FilmState | undefined> {
  const film = filmState(size);
  let at = 0;
  for await (const piece of pieces) {
    if (at + piece.length > film.kept.length) return undefined;
    film.kept.set(piece, at);
    at += piece.length;
  }
  if (at !== keptBytes(size) || !isSound(film, passCap)) return undefined;
  for (let tile = 0; tile < film.samples.length; tile++) {
    const a = film.halfSamples[tile];
    const all = film.samples[tile];
    if (all > 0) measureRows(film, tile, 0, tileRect(film, tile).height, a, all - a);
  }
  return film;
}

/** Every tile's samples must be a sum of whole blocks, and open or not. */
function isSound(film: FilmState, passCap: number): boolean {
  const halves = new Map([[0, 0]]);
  for (let samples = 0, half = 0; samples < passCap; ) {
    const { from, middle, to } = nextBlock(samples, passCap);
    half += middle - from;
    samples = to;
    halves.set(samples, half);
  }
  return film.samples.every((n, t) => halves.get(n) === film.halfSamples[t] && film.open[t] <= 1);
}

/** Says when it is time for the next checkpoint. */
export class CheckpointClock {
  private next: number;
  private readonly every: number;

  /** `every` in seconds, `now` in ms */
  constructor(every: number, now: number) {
    this.every = every * 1000;
    this.next = now + this.every;
  }

  due(now: number): boolean {
    return now >= this.next;
  }

  saved(start: number, now: number): void {
    this.next = this.every > 0 ? now + Math.max(this.every, (now - start) / MOST) : now;
  }
}
