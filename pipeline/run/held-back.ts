/** Variants and pairs that fail a bench error, unwaived: kept out of feed, structured data, prices and proofs. */

import { shapeFacts } from '../artefacts/solid.ts';
import { type Subject, subjectsOf } from '../artefacts/subject.ts';
import { bandFacts } from '../facts/band-facts.ts';
import type { SolidFacts } from '../facts/solid-facts.ts';
import { heldBy } from '../facts/verdict.ts';
import type { HeldItem } from '../papers/run-record.ts';
import type { Plan, ShapeKey } from '../plan/plan.ts';
import { shapesOf } from '../plan/shapes.ts';
import type { Variant } from '../plan/variant.ts';
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
  const { plan } = job.place.work;
  const source = job.source();
  const solids = new Map<ShapeKey, SolidFacts>();
  for (const [shape] of shapesOf(plan)) {
    const facts = await shapeFacts(shape, source);
    if (facts) solids.set(shape, facts);
  }
  const subjects = subjectsOf(plan).filter(({ sku }) => job.wanted(sku));
  for (const message of heldWarning(heldSubjects(subjects, solids, plan)))
    job.options.report({ event: 'warning', message });
}

/** By all rules, those of alloys and stones too; of bands without solids nothing is known. */
export function heldSubjects(
  subjects: readonly Pick<Subject, 'sku' | 'bands'>[],
  solids: ReadonlyMap<string, SolidFacts>,
  plan: Plan,
): HeldItem[] {
  const facts = (band: Variant) => {
    const solid = solids.get(band.shape);
    return solid ? [bandFacts(band, solid, plan)] : [];
  };
  return heldItems(subjects.map(({ sku, bands }) => ({ sku, bands: bands.flatMap(facts) })));
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
