/** The places where a test may make the machine fail, by name, and what happens there. */
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
