import path from 'node:path';
import type { Plan } from '../../pipeline/plan/plan.ts';
import { readPlan } from '../../pipeline/plan/read-plan.ts';
import { type CatalogueFiles, DISK } from '../../pipeline/plan/reading.ts';
import { type Problem, ProblemError } from '../../pipeline/problem.ts';

const FOLDER = path.resolve('/workspace');

/** Files in memory under one folder, and the real templates. */
export function inMemory(
  files: Record<string, string | Uint8Array>,
  prove?: CatalogueFiles['prove'],
): CatalogueFiles {
  const find = (file: string) => files[path.relative(FOLDER, file)];
  return {
    async read(file, most) {
      const content = find(file);
      if (content === undefined) return DISK.read(file, most);
      if (content.length > most) throw new Error(`a file of ${(content.length / 2 ** 20).toFixed(1)} MB`);
      return typeof content === 'string' ? new TextEncoder().encode(content) : content;
    },
    list: DISK.list,
    templates: DISK.templates,
    ...(prove ? { prove } : {}),
  };
}

/** The plan of a config given as text. */
export function planOf(
  text: string,
  others: Record<string, string | Uint8Array> = {},
): Promise<{ plan: Plan; warnings: Problem[] }> {
  return readPlan(path.join(FOLDER, 'config.yaml'), inMemory({ ...others, 'config.yaml': text }));
}

/** Everything wrong with a config given as text; none if it is right. */
export async function problemsOf(
  text: string,
  others: Record<string, string | Uint8Array> = {},
): Promise<readonly Problem[]> {
  try {
    await planOf(text, others);
    return [];
  } catch (error) {
    if (error instanceof ProblemError) return error.problems;
    throw error;
  }
}

/** A small right config; `lines` are put in place of lines that start with the same key. */
export function config(lines: Record<string, string> = {}): string {
  const base: Record<string, string> = {
    catalogue: 'catalogue: trial',
    title: 'title: Trial bands',
    workshop: 'workshop: Trial bench',
    template: 'template: tideline',
    origins: 'origins: { diamond: natural, ruby: natural, sapphire-blue: natural }',
    grid: 'grid: { size: [ISO 53, ISO 60], metal: [yellow-18, white-18], stone: [diamond, ruby] }',
    shots: 'shots: [three-quarter, flat-lay]',
    ...lines,
  };
  // last, so that tests may count lines
  const { treatments = 'treatments: { ruby: heated, sapphire-blue: heated }', ...rest } = base;
  return `${[...Object.values(rest), treatments].filter(Boolean).join('\n')}\n`;
}
