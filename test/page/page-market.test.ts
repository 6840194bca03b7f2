import { expect, it } from 'vitest';
import type { Catalogue } from '../../pipeline/facts/catalogue-schema.ts';
import { pageIndex } from '../../pipeline/page/page-index.ts';
import { checkPlan } from '../../pipeline/run/check.ts';
import { config, planOf } from '../plan/workspace.ts';

/** One band made for a market, as the page's grid tells it. */
async function gridLine(market?: string): Promise<{ language: string; line: string; systems: string[] }> {
  const { plan } = await planOf(
    config({
      template: 'template: plain-court',
      grid: 'grid: { size: [ISO 54.4], metal: [yellow-18] }',
      market: market ? `market: ${market}` : '',
    }),
  );
  const [{ facts }] = (await checkPlan(plan, () => true)).variants;
  const catalogue: Catalogue = {
    version: 1,
    catalogue: 'market',
    title: '',
    workshop: '',
    ...(market ? { market } : {}),
    axes: [],
    items: [
      {
        sku: 'A',
        kind: 'variant',
        title: '',
        bands: [facts!],
        shots: [],
        cautions: [],
        keys: {},
        versions: {},
      },
    ],
    models: [],
    cautions: [],
  };
  const { language, items } = pageIndex(catalogue);
  return { language, line: items[0].lines[0], systems: facts!.sizes.map((s) => s.system) };
}

it('names sizes first as the market does, and gives inches where it reads them', async () => {
  const us = await gridLine('US');
  // US 7: 0.458 in + 7 × 0.032 in across, 54.4 mm round
  expect(us.line).toMatch(/^US 7, /);
  expect(us.line).toContain('(0.682\u00a0in) inside');
  expect(us.language).toBe('en-US');
  expect((await gridLine('GB')).line).toMatch(/^UK N½, /);
  expect((await gridLine('JP')).line).toMatch(/^JP 14, /);
  const plain = await gridLine();
  expect(plain.systems[0]).toBe('iso');
  expect(plain.line).not.toContain('in)');
});
