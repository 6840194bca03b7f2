import path from 'node:path';
import { ProblemError } from '../problem.ts';
import type { LetterheadPlan } from './client-plan.ts';
import type { Config } from './config-schema.ts';
import type { Findings } from './findings.ts';
import type { CatalogueFiles } from './reading.ts';

/** Largest logo file that is read at all; what is read is drawn small (`picture/logo.ts`). */
export const MOST_LOGO_BYTES = 16 * 1024 * 1024;

/** Who makes the bands; a logo that cannot be read is reported. Whether it draws, provers of `files` see. */
export async function planLetterhead(
  { workshop }: Config,
  folder: string,
  files: CatalogueFiles,
  findings: Findings,
): Promise<LetterheadPlan> {
  if (typeof workshop === 'string') return { name: workshop, address: [] };
  const { logo, 'small-print': smallPrint, ...rest } = workshop;
  const plan: LetterheadPlan = { ...rest, ...(smallPrint ? { smallPrint } : {}) };
  if (logo === undefined) return plan;
  const file = path.resolve(folder, logo);
  const refuse = (received: string) =>
    findings.add({
      code: 'unreadable-logo',
      path: ['workshop', 'logo'],
      expected: `an SVG, PNG or JPEG file of at most ${MOST_LOGO_BYTES / 1024 / 1024} MB`,
      received,
      advice: `Check ${file}; paths start from the config's folder.`,
    });
  try {
    const bytes = await files.read(file, MOST_LOGO_BYTES);
    await files.prove?.logo(file, bytes);
  } catch (error) {
    if (error instanceof ProblemError) findings.adopt(error.problems, ['workshop', 'logo']);
    else refuse(error instanceof Error ? error.message : String(error));
  }
  return { ...plan, logo: file };
}
