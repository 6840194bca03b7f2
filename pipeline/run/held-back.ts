/** Variants and pairs that fail a bench error, unwaived: kept out of feed, structured data, prices and proofs. */

import { shapeFacts } from '../artefacts/solid.ts';
import { subjectsOf } from '../artefacts/subject.ts';
import { waived } from '../facts/band-facts.ts';
import type { SolidFacts } from '../facts/solid-facts.ts';
import { heldBy } from '../facts/verdict.ts';
import type { HeldItem } from '../papers/run-record.ts';
import type { Job } from './job.ts';

const NAMED = 6;

export function heldItems(
  items: readonly { sku: string; bands: Parameters<typeof heldBy>[0] }[],
): HeldItem[] {
  return items.flatMap(({ sku, bands }) => {
    const rules = heldBy(bands);
    return rules.length === 0 ? [] : [{ sku, rules }];
  });
}

/** Says so as soon as solids are built: an hour of tracing later is too late to learn of it. */
export async function warnOfHeld(job: Job): Promise<void> {
  const { work } = job.place;
  const source = job.source();
  const built = new Map<string, SolidFacts['checks']>();
  for (const shape of Object.keys(work.plan.shapes))
    built.set(shape, (await shapeFacts(shape, source))?.checks ?? []);
  const held = heldItems(
    subjectsOf(work.plan)
      .filter(({ sku }) => job.wanted(sku))
      .map(({ sku, bands }) => ({
        sku,
        bands: bands.map((band) => ({
          checks: (built.get(band.shape) ?? []).map((check) => waived(check, band)),
        })),
      })),
  );
  for (const message of heldWarning(held)) job.options.report({ event: 'warning', message });
}

/** What is said of them; nothing if there are none. */
export function heldWarning(held: readonly HeldItem[]): string[] {
  if (held.length === 0) return [];
  const skus = held.slice(0, NAMED).map(({ sku }) => sku);
  const more = held.length > NAMED ? ` and ${held.length - NAMED} more` : '';
  const rules = [...new Set(held.flatMap((h) => h.rules))].join(', ');
  return [
    `held back from feed, structured data, prices and proofs for bench errors (${rules}): ${skus.join(', ')}${more}. ` +
      'Correct the design, or waive a rule with a reason under bench in the config.',
  ];
}
