/** V8's, when the browser was started with --expose-gc. */
declare const gc: undefined | ((how: { type: 'major'; execution: 'async' }) => Promise<void>);

/** Lets go at once of what this page or worker no longer needs; without the browser's leave it waits its time. */
export async function collectGarbage(): Promise<void> {
  if (typeof gc === 'function') await gc({ type: 'major', execution: 'async' });
}
