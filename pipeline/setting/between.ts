/** By straight lines between the points of a table, level beyond its ends. */
export function between(table: readonly (readonly [at: number, value: number])[], at: number): number {
  const above = table.findIndex(([x]) => x >= at);
  if (above === 0) return table[0][1];
  if (above < 0) return table[table.length - 1][1];
  const [x0, y0] = table[above - 1];
  const [x1, y1] = table[above];
  return y0 + ((y1 - y0) * (at - x0)) / (x1 - x0);
}
