/** What is asked for bands together, with the first one's currency and tax; undefined if one has no price. */
export function totalPrice<Price extends { total: number }>(
  bands: readonly { price?: Price }[],
): Price | undefined {
  const prices = bands.flatMap(({ price }) => (price ? [price] : []));
  if (prices.length === 0 || prices.length < bands.length) return undefined;
  return { ...prices[0], total: prices.reduce((sum, p) => sum + p.total, 0) };
}
