/** What one file of the bench offers and what it may use. */

export interface Workbench {
  /** smaller scenes, fewer rounds: to see that everything runs */
  quick: boolean;
  /** prints a figure and keeps it for output/bench.json */
  record(name: string, value: number, unit?: string): void;
  /** prints a line */
  say(line: string): void;
}

export interface Measurement {
  name: string;
  about: string;
  run(bench: Workbench): Promise<void>;
}

/**
 * Seconds of processor time this process spends in `work`, all threads together: on a busy machine far steadier than
 * the clock on the wall.
 */
export function cpuSeconds(work: () => void): number {
  const before = process.cpuUsage();
  work();
  const { user, system } = process.cpuUsage(before);
  return (user + system) / 1e6;
}

export function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const middle = sorted.length >> 1;
  return sorted.length % 2 ? sorted[middle] : (sorted[middle - 1] + sorted[middle]) / 2;
}

/**
 * Medians of rivals measured turn by turn, so that a load which comes and goes hits all alike. Each rival's first turn
 * only warms it up.
 */
export async function inTurns<K extends string>(
  rounds: number,
  rivals: Record<K, () => number | Promise<number>>,
): Promise<Record<K, number>> {
  const names = Object.keys(rivals) as K[];
  const times = Object.fromEntries(names.map((n) => [n, [] as number[]])) as Record<K, number[]>;
  for (let round = -1; round < rounds; round++) {
    for (const name of names) {
      const value = await rivals[name]();
      if (round >= 0) times[name].push(value);
    }
  }
  return Object.fromEntries(names.map((n) => [n, median(times[n])])) as Record<K, number>;
}
