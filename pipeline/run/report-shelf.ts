/** Where an output folder keeps the reports of its runs, beside the store and outside every catalogue. */
import { readdir, rm, stat } from 'node:fs/promises';
import { join } from 'node:path';
import { writeDurably } from '../store/durable-file.ts';

/** Reports kept: a month of nights. */
const KEEP = 30;
/** The start of the run; a second run that started in the same ms has a number of its own. */
const REPORT = /^\d{4}-\d\d-\d\dT\d\d-\d\d-\d\d-\d{3}Z(-\d+)?\.html$/;

/**
 * Writes the report of a run and removes the oldest beyond KEEP.
 * @param started ms since 1970; names the file
 * @returns the file's path
 * @throws ProblemError if the folder cannot be written
 */
export async function shelveReport(out: string, started: number, html: string, keep = KEEP): Promise<string> {
  const folder = join(out, '.bandwright', 'reports');
  const name = new Date(started).toISOString().replace(/[:.]/g, '-');
  let file = join(folder, `${name}.html`);
  for (let n = 2; await stat(file).catch(() => undefined); n++) file = join(folder, `${name}-${n}.html`);
  await writeDurably(file, html);
  const reports = (await readdir(folder)).filter((n) => REPORT.test(n)).sort();
  for (const old of reports.slice(0, Math.max(0, reports.length - keep)))
    await rm(join(folder, old), { force: true });
  return file;
}
