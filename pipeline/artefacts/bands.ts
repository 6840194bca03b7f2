import type { Plan, Variant } from '../plan/plan.ts';
import { bandsOfPair } from '../plan/variant.ts';

/** Every band of a plan: variants, and all of each pair; one SKU may come several times. */
export function bandsOfPlan(plan: Plan): Variant[] {
  return [...plan.variants, ...plan.pairs.flatMap(bandsOfPair)];
}

/** The same, each SKU once. */
export function distinctBands(plan: Plan): Variant[] {
  return [...new Map(bandsOfPlan(plan).map((b) => [b.sku, b])).values()];
}

/** Lanes of a dress by alloy, in the order in which alloys first appear. */
export function lanesByAlloy(alloys: readonly string[]): Map<string, number[]> {
  const lanes = new Map<string, number[]>();
  alloys.forEach((alloy, i) => {
    lanes.set(alloy, [...(lanes.get(alloy) ?? []), i]);
  });
  return lanes;
}
