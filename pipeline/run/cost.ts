import type { PieceCost } from '../artefacts/kind.ts';
import { PIECE_COSTS } from '../artefacts/kinds.ts';
import type { TakePlan } from '../plan/plan.ts';
import { writeDurably } from '../store/durable-file.ts';
import { readOwnSync } from '../store/own-file.ts';

/**
 * Predicted cost of takes from what takes of the same kind cost on this machine before. Seconds scale with
 * pixels; colourways share paths, so each further one adds only its shading.
 */

/** Seconds per million pixels at the noise target `noise`, per view; smoothed over takes. */
export interface CostTable {
  version: 1;
  views: Record<string, { secondsPerMegapixel: number; takes: number }>;
  /** of what is made beside pictures, one piece of each kind; smoothed over pieces */
  pieces?: Record<string, PieceCost & { pieces: number }>;
}

/**
 * First guess before anything was measured: seconds per megapixel at 2 % noise. The demo's takes came to 700 to 1,300
 * on two cores of a shared EPYC server.
 */
export const FIRST_GUESS = 900;
export const REFERENCE_NOISE = 0.02;
/** share of a take's cost that each further colourway adds; measured with `colourways` in the tracer's tests */
const COLOURWAY_SHARE = 0.03;

/** Work of a take relative to one megapixel, one colourway, at the reference noise. Noise falls with √samples. */
export function work(take: TakePlan, noise: number): number {
  const megapixels = (take.shot.widthPx * take.shot.heightPx) / 1e6;
  return megapixels * (1 + COLOURWAY_SHARE * (take.colourways.length - 1)) * (REFERENCE_NOISE / noise) ** 2;
}

export class Costs {
  readonly #file: string;
  readonly #table: CostTable;
  #unsaved = false;

  /** Reads the table of earlier runs; a missing or unreadable one is an empty one. */
  constructor(file: string) {
    this.#file = file;
    this.#table = readTable(file);
  }

  /** predicted seconds of tracing */
  predict(take: TakePlan, noise: number): number {
    const views = Object.values(this.#table.views);
    const mean =
      views.length > 0 ? views.reduce((s, v) => s + v.secondsPerMegapixel, 0) / views.length : FIRST_GUESS;
    const rate = this.#table.views[take.shot.view]?.secondsPerMegapixel ?? mean;
    return rate * work(take, noise);
  }

  /** true once at least one take was measured on this machine */
  get measured(): boolean {
    return Object.keys(this.#table.views).length > 0;
  }

  record(take: TakePlan, noise: number, seconds: number): void {
    const rate = seconds / work(take, noise);
    const old = this.#table.views[take.shot.view];
    const takes = (old?.takes ?? 0) + 1;
    // the newest takes weigh at least a fifth, so that the prediction follows a machine that has changed
    const weight = Math.max(1 / takes, 0.2);
    const secondsPerMegapixel = old ? old.secondsPerMegapixel * (1 - weight) + rate * weight : rate;
    this.#table.views[take.shot.view] = { secondsPerMegapixel, takes };
  }

  /** what one piece costs: as measured here, or a first guess */
  piece(kind: string): PieceCost & { measured: boolean } {
    const known = this.#table.pieces?.[kind];
    const guess = PIECE_COSTS.get(kind)?.guess ?? { seconds: 0, bytes: 0 };
    return { ...(known ?? guess), measured: known !== undefined };
  }

  /** Notes what `count` pieces cost together. */
  recordPieces(kind: string, seconds: number, bytes: number, count = 1): void {
    if (count === 0) return;
    const old = this.#table.pieces?.[kind];
    const pieces = (old?.pieces ?? 0) + count;
    const weight = Math.max(count / pieces, 0.2);
    const mixed = (before: number | undefined, now: number) =>
      before === undefined ? now : before * (1 - weight) + now * weight;
    this.#table.pieces = {
      ...this.#table.pieces,
      [kind]: {
        seconds: mixed(old?.seconds, seconds / count),
        bytes: mixed(old?.bytes, bytes / count),
        pieces,
      },
    };
    this.#unsaved = true;
  }

  /** Makes a piece and notes what it cost, if anything came of it. */
  async timed<T extends Uint8Array | undefined>(kind: string, make: () => Promise<T>): Promise<T> {
    const start = performance.now();
    const made = await make();
    if (made) this.recordPieces(kind, (performance.now() - start) / 1000, made.length);
    return made;
  }

  /** Saves what was noted of pieces since the last time. */
  async savePieces(): Promise<void> {
    if (this.#unsaved) await this.save();
  }

  async save(): Promise<void> {
    this.#unsaved = false;
    await writeDurably(this.#file, `${JSON.stringify(this.#table, null, 2)}\n`);
  }
}

function readTable(file: string): CostTable {
  try {
    const table = JSON.parse(String(readOwnSync(file))) as CostTable;
    if (table.version === 1 && typeof table.views === 'object') return table;
  } catch {
    // no measurements yet, or a file cut off: start afresh
  }
  return { version: 1, views: {} };
}
