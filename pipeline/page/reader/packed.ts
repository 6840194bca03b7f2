/**
 * Items as columns, so that a thousand are a small file: what many items share is written once, and a SKU within a text
 * is left out. `unpack(pack(items))` are the items.
 */
interface Column {
  key: string;
  /** distinct values, and for each item which it has, from 1; 0 where it has none */
  table: unknown[];
  refs?: number[];
}

export interface Packed {
  skus: string[];
  columns: Column[];
}

/** Stands in texts for the item's SKU; no text of a config holds it, since control characters are refused there. */
const SKU = '\u0001';

export function pack<T extends { sku: string }>(items: readonly T[]): Packed {
  const keys = [...new Set(items.flatMap((item) => Object.keys(item)))].filter((key) => key !== 'sku');
  const columns = keys.map((key): Column => {
    const table: unknown[] = [];
    const known = new Map<string, number>();
    const refs = items.map((item) => {
      const value = (item as Record<string, unknown>)[key];
      if (value === undefined) return 0;
      const shared = withTexts(value, (text) => text.split(item.sku).join(SKU));
      const text = JSON.stringify(shared);
      if (!known.has(text)) known.set(text, table.push(shared));
      return known.get(text)!;
    });
    // where all differ the places say nothing
    const plain = refs.every((ref, i) => ref === i + 1);
    return { key, table, ...(plain ? {} : { refs }) };
  });
  return { skus: items.map(({ sku }) => sku), columns };
}

export function unpack<T extends { sku: string }>({ skus, columns }: Packed): T[] {
  return skus.map((sku, i) => {
    const item: Record<string, unknown> = { sku };
    for (const { key, table, refs } of columns) {
      const ref = refs ? refs[i] : i + 1;
      if (ref > 0) item[key] = withTexts(table[ref - 1], (text) => text.split(SKU).join(sku));
    }
    return item as T;
  });
}

/** A value with each text in it replaced; names of fields stay. */
function withTexts(value: unknown, change: (text: string) => string): unknown {
  if (typeof value === 'string') return change(value);
  if (Array.isArray(value)) return value.map((v) => withTexts(v, change));
  if (typeof value !== 'object' || value === null) return value;
  return Object.fromEntries(Object.entries(value).map(([k, v]) => [k, withTexts(v, change)]));
}
