/** Node's end of a checkpoint: what it is of, and the way from the page's requests to whoever keeps it. */
import { createHash } from 'node:crypto';
import type { CheckpointKeeper } from './checkpoint.ts';
import type { TraceOptions } from './tracer.ts';

/** Raised when what `FilmState.kept` holds or means changes. */
const VERSION = 2;

/**
 * Hash of everything that decides a take's films: another scene, seed, noise target, cap, tracer or filter finds no checkpoint.
 * @param engine stands for the code that traces
 */
export function checkpointIdentity(
  scene: Uint8Array,
  {
    seed,
    noiseTarget,
    passCap,
    filtered = false,
  }: Pick<TraceOptions, 'seed' | 'noiseTarget' | 'passCap' | 'filtered'>,
  engine: string,
): string {
  const hash = createHash('sha256').update(
    JSON.stringify([VERSION, engine, seed, noiseTarget, passCap, filtered]),
  );
  return hash.update(scene).digest('hex');
}

interface Arrival {
  data: Uint8Array;
  /** whoever keeps it has asked for the next */
  used(): void;
}

/** Hands pieces on as they come, one at a time. */
export class CheckpointInbox {
  private readonly keeper: CheckpointKeeper;
  private readonly identity: string;
  private readonly bytes: number;
  private saved: Promise<void> | undefined;
  private next = 0;
  private arrive: ((arrival: Arrival | Promise<never>) => void) | undefined;

  constructor(keeper: CheckpointKeeper, identity: string, bytes: number) {
    this.keeper = keeper;
    this.identity = identity;
    this.bytes = bytes;
  }

  /**
   * Resolves when the piece's memory may be used again and, after the last, when all are kept. Rejects when they cannot
   * be.
   */
  async take(at: number, data: Uint8Array): Promise<void> {
    if (at === 0) this.begin();
    const { arrive, saved } = this;
    if (!arrive || at !== this.next)
      throw new Error(`expected the checkpoint's byte ${this.next}, not ${at}`);
    this.next = at + data.length;
    const used = new Promise<void>((resolve) => arrive({ data, used: resolve }));
    await (this.next < this.bytes ? Promise.race([used, saved]) : saved);
  }

  /** The page is gone: what was under way is not kept. */
  abandon(): void {
    const lost = Promise.reject(new Error('the take ended before its checkpoint was whole'));
    // nobody may be waiting
    lost.catch(() => {});
    this.arrive?.(lost);
    this.arrive = undefined;
  }

  private begin(): void {
    this.abandon();
    this.next = 0;
    const pieces = this.pieces();
    const { bytes } = this;
    this.saved = this.keeper.save(this.identity, { bytes, [Symbol.asyncIterator]: () => pieces });
    this.saved.catch(() => {});
  }

  private pieces(): AsyncGenerator<Uint8Array> {
    let coming = this.coming();
    const { bytes } = this;
    const renew = () => this.coming();
    return (async function* () {
      for (let got = 0; got < bytes; ) {
        const { data, used } = await coming;
        got += data.length;
        // before it is used: what comes next may come at once
        coming = got < bytes ? renew() : coming;
        yield data;
        used();
      }
    })();
  }

  private coming(): Promise<Arrival> {
    const coming = new Promise<Arrival>((resolve) => {
      this.arrive = resolve;
    });
    coming.catch(() => {});
    return coming;
  }
}
