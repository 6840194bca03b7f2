/** Why a take came to nothing although nothing is wrong with it. */
export type LossReason =
  /** the browser's process ended or cut the connection */
  | 'browser-gone'
  /** the page's process ended, e.g. for want of memory */
  | 'page-crashed'
  /** the page or a worker was refused memory */
  | 'out-of-memory'
  /** browser and Node hold more than they were allowed */
  | 'over-memory'
  /** no progress, and the page does not answer */
  | 'page-silent'
  /** the page answers, but nothing gets traced */
  | 'no-progress';

/** The take may be tried again: the next one gets a fresh page, and a fresh browser if need be. */
export class TracerLost extends Error {
  readonly reason: LossReason;

  constructor(reason: LossReason, detail: string) {
    super(`Tracing was lost (${reason}): ${detail}`);
    this.name = 'TracerLost';
    this.reason = reason;
  }

  /** Whether fewer workers may help. A page's process that ends has mostly run out of memory. */
  get wantsMemory(): boolean {
    return ['out-of-memory', 'over-memory', 'page-crashed'].includes(this.reason);
  }
}
