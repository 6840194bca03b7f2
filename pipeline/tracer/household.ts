/** Keeps what a session runs within its means: a ceiling for memory, a nice value for every process. */
import { descendants, memoryOf, SEES_PROCESSES, yieldMore } from './process-tree.ts';

export interface Means {
  /** most bytes that this process and the browser's may hold together */
  memory?: number;
  /** nice value of this process and the browser's, 1 to 19 */
  nice?: number;
}

/** What a browser still holds after a take, in shares of the ceiling, from which on the next take gets a new one. */
const CROWDED = 0.7;

/** What it looks at, for tests. */
export interface Premises {
  processes(): number[];
  memoryOf(pid: number): number;
  yieldMore(pid: number, nice: number): void;
}

const HERE: Premises = {
  processes: () => [process.pid, ...descendants(process.pid)],
  memoryOf,
  yieldMore,
};

export class Household {
  readonly #means: Means;
  readonly #premises: Premises;
  /** bytes when last looked at; undefined where processes can't be seen */
  memory: number | undefined;

  constructor(means: Means, premises: Premises = HERE) {
    this.#means = means;
    this.#premises = premises;
  }

  /** Weighs all processes and lets them yield. To be called about once a second. */
  look(): void {
    if (!SEES_PROCESSES && this.#premises === HERE) return;
    const processes = this.#premises.processes();
    this.memory = processes.reduce((sum, pid) => sum + this.#premises.memoryOf(pid), 0);
    const { nice } = this.#means;
    if (nice !== undefined) for (const pid of processes) this.#premises.yieldMore(pid, nice);
  }

  /** What a take that must end for its memory is told; undefined while there is room. */
  get excess(): string | undefined {
    const { memory: most } = this.#means;
    if (most === undefined || this.memory === undefined || this.memory <= most) return undefined;
    return `${gigabytes(this.memory)} in use and ${gigabytes(most)} allowed`;
  }

  /** After a take: so little room is left that the next one should not begin in the same browser. */
  get crowded(): boolean {
    const { memory: most } = this.#means;
    return most !== undefined && this.memory !== undefined && this.memory > CROWDED * most;
  }
}

function gigabytes(bytes: number): string {
  return `${(bytes / 1e9).toFixed(2)} GB`;
}
