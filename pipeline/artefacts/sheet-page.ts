import { cautionsOf } from '../facts/band-facts.ts';
import type { BandFacts } from '../facts/catalogue-schema.ts';
import { benchSheet } from '../papers/bench-sheet.ts';
import type { ShapeDesign } from '../plan/design.ts';
import type { Plan, Variant } from '../plan/plan.ts';
import { generalCautions } from '../words/locale.ts';

/** @param order number of the order that the band is made for, if its letters are its own */
export function sheetPage(
  facts: BandFacts,
  band: Variant,
  design: ShapeDesign,
  plan: Plan,
  order?: string,
): string {
  return benchSheet(facts, design, {
    workshop: plan.workshop,
    title: plan.title,
    ...(order === undefined ? {} : { order }),
    cautions: [
      ...cautionsOf([band], plan.language, plan.market),
      ...generalCautions(plan.language, plan.market),
    ],
    own: plan.ownBench,
    language: plan.language,
    ...(plan.market ? { market: plan.market } : {}),
  });
}
