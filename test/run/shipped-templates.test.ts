import { readdir } from 'node:fs/promises';
import { describe, expect, it } from 'vitest';
import { checkPlan } from '../../pipeline/run/check.ts';
import { config, planOf } from '../plan/workspace.ts';

const folder = new URL('../../templates/', import.meta.url);
const names = (await readdir(folder)).flatMap((file) => /^(.+)\.yaml$/.exec(file)?.[1] ?? []).sort();

/** Warnings that a template has on purpose, each with why. There are none: a template that comes along obeys. */
const ACCEPTED: Record<string, string[]> = {};

describe('templates that come along', () => {
  it.each(names)('%s is built and obeys every rule of the bench', async (template) => {
    const text = config({
      template: `template: ${template}`,
      grid: 'grid: { size: [ISO 52] }',
      // solids of the checks do not need finer triangles
      overrides: 'overrides: { chord-tolerance: 0.1 mm }',
    });
    const { plan, warnings } = await planOf(text);
    expect(warnings).toEqual([]);
    const { variants } = await checkPlan(plan, () => true);
    expect(variants).toHaveLength(1);
    for (const { sku, facts, problems } of variants) {
      expect(problems, sku).toEqual([]);
      const broken = facts!.checks.filter(({ passed, severity }) => !passed && severity !== 'info');
      expect(
        broken
          .filter(({ rule }) => !ACCEPTED[template]?.includes(rule))
          .map(({ rule, measured, limit, place }) => `${rule}: ${measured}, ${limit}, ${place}`),
        sku,
      ).toEqual([]);
    }
  });
});
