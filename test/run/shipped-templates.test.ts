import { readdir } from 'node:fs/promises';
import type { Browser } from 'puppeteer';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { BandFacts } from '../../pipeline/facts/catalogue-schema.ts';
import { benchSheet } from '../../pipeline/papers/bench-sheet.ts';
import type { Plan } from '../../pipeline/plan/plan.ts';
import { checkPlan } from '../../pipeline/run/check.ts';
import { pageBrowser } from '../page/page-browser.ts';
import { config, planOf } from '../plan/workspace.ts';
import { expectGerman, textOf } from './german-words.ts';

const folder = new URL('../../templates/', import.meta.url);
const names = (await readdir(folder)).flatMap((file) => /^(.+)\.yaml$/.exec(file)?.[1] ?? []).sort();

/** Warnings that a template has on purpose, each with why. There are none: a template that comes along obeys. */
const ACCEPTED: Record<string, string[]> = {};

/** Whose bench sheets are read: between them they have most sorts of rows, marks and inlays. */
const READ = [
  'half-channel',
  'grain-wave',
  'square-half',
  'beaded-vow',
  'ebb-and-flow',
  'faceted-rim',
  'hammered-inlay',
];

let browser: Browser;
beforeAll(async () => {
  browser = await pageBrowser();
});
afterAll(() => browser?.close());

/** In German, which is longer than English: drawings, measures, checks and every catalogue's cautions, and no fourth page. */
async function expectSheet(plan: Plan, facts: BandFacts, cautions: readonly string[]): Promise<void> {
  const [{ shape, sku }] = plan.variants;
  const design = plan.shapes[shape];
  const html = benchSheet(facts, design, { workshop: 'Probe', title: 'Probe', cautions, language: 'de' });
  const text = textOf(html);
  expect(text).toContain('Werkstattprüfungen');
  const parts = [...design.lanes, ...design.rows, ...design.seams];
  const names = parts.flatMap((part) => ('name' in part && part.name ? [String(part.name)] : []));
  // a row of several sizes names its sets by them, as its stone list does
  const words = names.reduce(
    (left, name) => left.replace(new RegExp(`${name}(?: \\d\\.\\d+)?`, 'g'), ' '),
    text,
  );
  expectGerman(words, sku);
  expect(words.replace(/„[^“]*“/g, '')).not.toMatch(/\d\.\d/);
  const page = await browser.newPage();
  await page.setContent(html);
  const pdf = Buffer.from(await page.pdf({ preferCSSPageSize: true })).toString('latin1');
  await page.close();
  expect(pdf.match(/\/Type \/Page\b/g)?.length).toBeLessThanOrEqual(3);
}

describe('templates that come along', () => {
  it.each(names)('%s is built and obeys every rule of the bench', async (template) => {
    const text = config({
      template: `template: ${template}`,
      language: 'language: de',
      grid: 'grid: { size: [ISO 52] }',
      // solids of the checks do not need finer triangles
      overrides: 'overrides: { chord-tolerance: 0.1 mm }',
    });
    const { plan, warnings } = await planOf(text);
    expect(warnings).toEqual([]);
    const { variants, cautions } = await checkPlan(plan, () => true);
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
      if (READ.includes(template)) await expectSheet(plan, facts!, cautions);
    }
  });
});
