import { describe, expect, it } from 'vitest';
import { type BandFacts, CATALOGUE_VERSION, type Catalogue } from '../../pipeline/facts/catalogue-schema.ts';
import { checkState, heldBy, verdictOf } from '../../pipeline/facts/verdict.ts';
import { indexPage } from '../../pipeline/page/index-page.ts';
import { pageIndex, pageParts } from '../../pipeline/page/page-index.ts';
import { cost } from '../../pipeline/page/reader/cards.ts';
import { FEED } from '../../pipeline/plan/plan.ts';
import { catalogueCsv } from '../../pipeline/publish/catalogue-csv.ts';
import { toEntry } from '../../pipeline/publish/catalogue-item.ts';
import { catalogueJsonLd } from '../../pipeline/publish/catalogue-jsonld.ts';
import { feedCsv } from '../../pipeline/publish/feed-csv.ts';
import { checkTallies } from '../../pipeline/run/check-tally.ts';
import { parseCsv } from '../publish/parse-csv.ts';
import { SAMPLE_SHOP, sampleBand, sampleItem } from '../publish/sample-items.ts';

type Check = BandFacts['checks'][number];

const check = (rule: string, severity: Check['severity'], passed = false, waived?: string): Check => ({
  ...{ rule, severity, passed, limit: '', measured: '', place: '', source: 'a handbook' },
  ...(waived === undefined ? {} : { waived }),
});
const NOTES = [check('hallmark-mass', 'info'), check('wide-band-size', 'info')];
const SOUND = sampleBand('A', { checks: [check('cast-wall', 'error', true), ...NOTES] });
const POOR = sampleBand('B', {
  checks: [
    check('edge-softening', 'warning'),
    check('edge-softening', 'warning'),
    check('cast-wall', 'error', true),
    check('claw-bite', 'error', false, 'a guard ring is worn'),
    ...NOTES,
  ],
});
const THIN = sampleBand('C', {
  checks: [check('cast-wall', 'error'), ...NOTES],
  price: { total: 700, currency: 'EUR' },
});

function catalogue(): Catalogue {
  const item = (sku: string, ...bands: BandFacts[]) => {
    const { shots, ...rest } = sampleItem(sku, sku, { bands, kind: bands.length > 1 ? 'pair' : 'variant' });
    const [shot] = shots;
    const pictures = shot.pictures.map((p, i) =>
      i === 0 ? { ...p, role: 'extra' as const, name: FEED } : p,
    );
    return toEntry({ ...rest, shots: [{ ...shot, pictures }] });
  };
  return {
    version: CATALOGUE_VERSION,
    catalogue: 'sample',
    title: 'Sample bands',
    workshop: 'Sample workshop',
    axes: [],
    items: [item('A', SOUND), item('B', POOR), item('C', THIN), item('A-C', SOUND, THIN)],
    models: [],
    cautions: [],
  };
}

describe('severity', () => {
  it('errors and warnings fail, notes are notes, a rule counts once', () => {
    expect(checkState(check('hallmark-mass', 'info'))).toBe('note');
    expect(verdictOf(SOUND.checks)).toEqual({ judged: 1, failed: [], waived: [] });
    expect(verdictOf(POOR.checks)).toEqual({ judged: 3, failed: ['edge-softening'], waived: ['claw-bite'] });
    expect(heldBy([SOUND, POOR])).toEqual([]);
    expect(heldBy([SOUND, THIN])).toEqual(['cast-wall']);
  });

  it('is counted alike in catalogue.csv and in the run', () => {
    const [head, ...rows] = parseCsv(catalogueCsv(catalogue()));
    const sum = (name: string) => {
      const bands = new Map(rows.map((r) => [r[head.indexOf('band_sku')], Number(r[head.indexOf(name)])]));
      return [...bands.values()].reduce((a, b) => a + b, 0);
    };
    const tallies = checkTallies(catalogue().items);
    const told = (waived: boolean) =>
      tallies.filter((t) => (t.waived !== undefined) === waived).reduce((n, t) => n + t.bands, 0);
    expect([sum('failed_checks'), sum('waived_checks')]).toEqual([2, 1]);
    expect([told(false), told(true)]).toEqual([2, 1]);
  });
});

describe('a band that fails a bench error', () => {
  it('is in no feed and no structured data, and the table says why', () => {
    const ids = parseCsv(feedCsv(catalogue(), SAMPLE_SHOP))
      .slice(1)
      .map(([id]) => id);
    expect(ids).toEqual(['A', 'B']);
    const { hasVariant } = JSON.parse(catalogueJsonLd(catalogue(), {}));
    expect(hasVariant.map((v: { sku: string }) => v.sku)).toEqual(['A', 'B']);
    const [head, ...rows] = parseCsv(catalogueCsv(catalogue()));
    const held = rows.map((r) => [r[0], r[head.indexOf('held_back')]]);
    expect(held).toEqual([
      ['A', ''],
      ['B', ''],
      ['C', 'cast-wall'],
      ['A-C', 'cast-wall'],
      ['A-C', 'cast-wall'],
    ]);
  });

  it('is said on the page to be not offered', () => {
    const { items } = pageIndex(catalogue());
    expect(items.map(({ held }) => held === true)).toEqual([false, false, true, true]);
    const words = items.map((item) => cost(item, 'EUR'));
    expect(words.map((w) => w.includes('Not offered yet'))).toEqual([false, false, true, true]);
    expect(indexPage(catalogue(), { script: '', style: '' })).toContain('Not offered yet');
    const [{ details }] = pageParts(catalogue());
    expect(details.C.bands[0].held).toBe(true);
    expect(details.A.bands[0].held).toBeUndefined();
  });
});

describe('the page', () => {
  it('tells a shopper nothing of the bench unless the config asks, and never its sources', () => {
    const text = (checks?: boolean) => JSON.stringify(pageParts(catalogue(), checks));
    for (const word of ['cast-wall', 'edge-softening', 'hallmark-mass', 'handbook'])
      expect(text()).not.toContain(word);
    expect(text(true)).toContain('edge-softening');
    expect(text(true)).not.toContain('handbook');
  });

  it('tells all metal and the price of a band of one alloy in its grid', () => {
    const one = {
      ...catalogue(),
      items: [{ ...catalogue().items[0], bands: [{ ...SOUND, price: THIN.price }] }],
    };
    const [item] = pageIndex(one).items;
    expect(item).toMatchObject({ massG: 3.1, price: 700 });
    expect(cost(item, 'EUR')).toContain('€700.00');
    expect(pageIndex(catalogue()).items[0].price).toBeUndefined();
  });
});
