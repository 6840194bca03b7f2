import { rmSync } from 'node:fs';

/**
 * Files and folders under way, so that a process that ends in an orderly way, if in a hurry, takes them along. What a
 * killed one leaves is cleared by the next run.
 */
const unfinished = new Set<string>();
let watching = false;

export function beginUnfinished(path: string): void {
  if (!watching) process.once('exit', clearUnfinished);
  watching = true;
  unfinished.add(path);
}

export function endUnfinished(path: string): void {
  unfinished.delete(path);
}

function clearUnfinished(): void {
  for (const path of unfinished) {
    try {
      rmSync(path, { recursive: true, force: true });
    } catch {
      // the next run clears it
    }
  }
}
