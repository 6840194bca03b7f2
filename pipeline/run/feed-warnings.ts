import { FEED } from '../plan/plan.ts';
import type { CatalogueItem } from '../publish/catalogue.ts';

/** Share of the frame that a product should fill; product image rules, as reported by guides to them. */
const FILL = { least: 0.75, most: 0.9 };

/** Feed pictures whose subject is too small or too large in its frame, a line per shot. */
export function feedWarnings(items: readonly CatalogueItem[]): string[] {
  const found = new Map<string, { fill: number; sku: string; count: number }>();
  for (const { sku, shots } of items) {
    for (const { name, pictures } of shots) {
      const fill = pictures.find((p) => p.name === FEED)?.fill;
      if (fill === undefined || (fill >= FILL.least && fill <= FILL.most)) continue;
      const before = found.get(name);
      found.set(name, before ? { ...before, count: before.count + 1 } : { fill, sku, count: 1 });
    }
  }
  return [...found].map(
    ([shot, { fill, sku, count }]) =>
      `feed pictures of ${shot}: the band takes ${(100 * fill).toFixed(0)} % of the frame in ${sku}` +
      `${count > 1 ? ` and ${count - 1} more out of range` : ''}; ` +
      `${100 * FILL.least} to ${100 * FILL.most} % is asked for. Use another shot first, or another frame.`,
  );
}
