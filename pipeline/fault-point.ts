/**
 * Named places where a test may make the machine fail: kill the process, fill the disk, lose the browser. This file
 * imports nothing of the pipeline and every room may import it. In production nothing is armed, and passing a place
 * costs one comparison.
 */
export type FaultPoint =
  /** a file of its own: about to be opened, written, flushed, named; named; its folder flushed */
  | 'file.open'
  | 'file.write'
  | 'file.sync'
  | 'file.rename'
  | 'file.renamed'
  | 'file.done'
  /** an item's folder: about to be staged, to get its manifest, to replace the old one, to take its place; placed */
  | 'folder.stage'
  | 'folder.manifest'
  | 'folder.retire'
  | 'folder.place'
  | 'folder.placed'
  | 'folder.remove'
  | 'lease.take'
  | 'lease.taken'
  | 'run.planned'
  | 'run.traced'
  | 'run.publish'
  | 'run.published'
  /** subject: the browser's page of a take, blank; at each of its reports */
  | 'tracer.page'
  | 'tracer.progress'
  | 'tracer.print';

export type FaultHook = (point: FaultPoint, subject?: unknown) => void | Promise<void>;

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
