import type { Pair, Plan, ShapeKey, Sku, Variant } from '../plan/plan.ts';
import { bandsOfPair } from '../plan/variant.ts';
import type { WordingMessages } from '../words/messages.ts';

/** What one catalogue item is about. */
export interface Subject {
  sku: Sku;
  kind: 'variant' | 'pair';
  bands: Variant[];
}

export function subjectsOf(plan: Plan): Subject[] {
  return [
    ...plan.variants.map((v): Subject => ({ sku: v.sku, kind: 'variant', bands: [v] })),
    ...plan.pairs.map((p: Pair): Subject => ({ sku: p.sku, kind: 'pair', bands: bandsOfPair(p) })),
  ];
}

/** Colours first; sizes and widths stand in the facts right below. A pair is called one, by the looks of both bands where they differ. */
export function titleOf(subject: Subject, { pair }: Pick<WordingMessages, 'pair'>): string {
  const looks = [...new Set(subject.bands.map(looksOf))];
  return subject.kind === 'pair' ? pair(looks, subject.bands.length) : looks[0];
}

function looksOf(band: Variant): string {
  const looks = Object.entries(band.axes).filter(([axis]) => axis !== 'size' && axis !== 'width');
  const labels = (looks.length > 0 ? looks : Object.entries(band.axes)).map(([, label]) => label);
  // labels begin with capitals
  return labels.join(' · ');
}

/** SKUs of all variants and pairs that need a shape. */
export function skusOfShape(plan: Plan, shape: ShapeKey): Sku[] {
  return [
    ...plan.variants.filter((v) => v.shape === shape).map((v) => v.sku),
    ...plan.pairs.filter((p) => bandsOfPair(p).some((b) => b.shape === shape)).map((p) => p.sku),
  ];
}
