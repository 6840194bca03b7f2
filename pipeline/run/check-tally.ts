import { checkState } from '../facts/verdict.ts';
import type { CheckTally } from '../papers/run-record.ts';
import type { CatalogueItem } from '../publish/catalogue.ts';

/** The bench checks that bands failed, waived ones among them: one tally for each rule, severity and reason. */
export function checkTallies(items: readonly Pick<CatalogueItem, 'bands'>[]): CheckTally[] {
  const tallies = new Map<string, CheckTally>();
  const seen = new Set<string>();
  for (const band of items.flatMap((item) => item.bands)) {
    if (seen.has(band.sku)) continue;
    seen.add(band.sku);
    const counted = new Set<string>();
    for (const check of band.checks) {
      const { rule, severity, waived, measured, limit, place } = check;
      const state = checkState(check);
      if (severity === 'info' || state === 'passed') continue;
      const key = JSON.stringify([rule, severity, waived]);
      // a rule may be measured at several rows of one band
      if (counted.has(key)) continue;
      counted.add(key);
      const tally = tallies.get(key);
      if (tally) tally.bands++;
      else {
        const example = { sku: band.sku, measured, limit, place };
        tallies.set(key, { rule, severity, bands: 1, example, ...(waived === undefined ? {} : { waived }) });
      }
    }
  }
  return [...tallies.values()];
}
