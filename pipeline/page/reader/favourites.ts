/** What a reader likes, kept in their own browser and nowhere else. */

const keyOf = (catalogue: string) => `${catalogue}: favourites`;

/** A browser may keep nothing, as in a private window: then favourites last as long as the page. */
export function readFavourites(catalogue: string): Set<string> {
  try {
    const kept: unknown = JSON.parse(localStorage.getItem(keyOf(catalogue)) ?? '[]');
    return new Set(Array.isArray(kept) ? kept.filter((sku) => typeof sku === 'string') : []);
  } catch {
    return new Set();
  }
}

export function keepFavourites(catalogue: string, skus: ReadonlySet<string>): void {
  try {
    if (skus.size > 0) localStorage.setItem(keyOf(catalogue), JSON.stringify([...skus]));
    else localStorage.removeItem(keyOf(catalogue));
  } catch {
    // see above
  }
}
