/** Least value of a function on an interval and where: survey, then golden-section search in the best cell. */
export function leastBetween(
  f: (x: number) => number,
  low: number,
  high: number,
): { at: number; value: number } {
  const cells = 32;
  const step = (high - low) / cells;
  let best = 0;
  let lowest = f(low);
  for (let i = 1; i <= cells; i++) {
    const here = f(low + i * step);
    if (here < lowest) [best, lowest] = [i, here];
  }
  const cell = low + best * step;
  let a = low + Math.max(0, best - 1) * step;
  let b = low + Math.min(cells, best + 1) * step;
  const golden = (Math.sqrt(5) - 1) / 2;
  let [c, d] = [b - golden * (b - a), a + golden * (b - a)];
  let [fc, fd] = [f(c), f(d)];
  for (let i = 0; i < 24; i++) {
    if (fc < fd) {
      [b, d, fd] = [d, c, fc];
      c = b - golden * (b - a);
      fc = f(c);
    } else {
      [a, c, fc] = [c, d, fd];
      d = a + golden * (b - a);
      fd = f(d);
    }
  }
  const value = f((a + b) / 2);
  // a value that lies at the end of the interval is not passed over by a hair
  return value < lowest ? { at: (a + b) / 2, value } : { at: cell, value: lowest };
}
