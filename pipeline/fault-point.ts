/**
 * Named places where a test may make the machine fail: kill the process, fill the disk, lose the browser. Every room may
 * import this file. In production nothing is armed, and passing a place
 * costs one comparison.
 */
import type { FaultHook, FaultPoint } from './fault-places.ts';

let hook: FaultHook | undefined;

/** Arms a hook for all places; undefined disarms. */
export function armFaults(next: FaultHook | undefined): void {
  hook = next;
}

/** To be awaited at a place; what the hook throws is as if the operating system had thrown it there. */
export function reached(point: FaultPoint, subject?: unknown): void | Promise<void> {
  return hook?.(point, subject);
}

const wanted = process.env.BANDWRIGHT_FAULT;
if (wanted) armFaults((await import('./fault-actions.ts')).faultsOf(wanted));
