import type { CheckTally, HeldItem } from '../papers/run-record.ts';

/**
 * What a run tells while it works. Reports are data first: `--json` prints these as lines, the terminal view
 * draws them.
 */
export type RunEvent =
  | {
      event: 'planned';
      shapes: number;
      takes: number;
      toTrace: number;
      pictures: number;
      /** of these, what the store does not hold */
      toBuild: number;
      toEncode: number;
      variants: number;
      pairs: number;
      predictedSeconds: number;
      measured: boolean;
    }
  | {
      event: 'shape';
      shape: string;
      done: number;
      total: number;
      triangles: number;
      stones: number;
      seconds: number;
    }
  | { event: 'shape-failed'; shape: string; skus: string[]; problems: string[] }
  | {
      event: 'take-start';
      take: string;
      label: string;
      index: number;
      total: number;
      colourways: number;
      noise: number;
      /** on a machine that has nothing else to do */
      predictedSeconds: number;
    }
  | {
      event: 'take-progress';
      take: string;
      passes: number;
      open: number;
      /** null while there is no estimate */
      error: number | null;
      target: number;
      etaSeconds: number;
      /** bytes that Node and the browser hold, where the system tells */
      memory?: number;
    }
  | {
      event: 'take-done';
      take: string;
      passes: number;
      paths: number;
      error: number;
      seconds: number;
      etaSeconds: number;
    }
  | { event: 'paused'; reason: string }
  | { event: 'resumed'; seconds: number }
  | { event: 'take-retry'; take: string; attempt: number; reason: string }
  | { event: 'lowered'; noise: number; asked: number; until: string }
  | { event: 'left'; takes: string[]; until: string }
  | { event: 'waiting'; message: string }
  | { event: 'take-quarantined'; take: string; label: string; skus: string[]; reason: string }
  | { event: 'sheet-failed'; sku: string; reason: string }
  | { event: 'take-failed'; take: string; skus: string[]; reason: string }
  | { event: 'encoded'; take: string; files: number; bytes: number; seconds: number }
  | { event: 'engines'; cpu: number; gpu: number }
  | { event: 'checks'; tallies: CheckTally[]; held: HeldItem[] }
  | { event: 'model'; model: string; bytes: number }
  | { event: 'comparison'; sku: string; shot: string; deltaE: number }
  | { event: 'warning'; message: string }
  | { event: 'part'; part: string; bytes: number; allowances: string }
  | { event: 'sheet'; sku: string; bytes: number }
  | { event: 'proof'; file: string; bytes: number }
  | { event: 'part-failed'; part: string; skus: string[]; problems: string[] }
  | { event: 'published'; folder: string; written: number; unchanged: number; removed: number }
  | { event: 'done'; made: number; failed: string[]; seconds: number; bytes: number; upToDate: boolean };

export type Report = (event: RunEvent) => void;
