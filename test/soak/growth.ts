/** Memory of a run at one moment: bytes of Node and of the browser's processes together. */
export interface Sample {
  seconds: number;
  /** takes done by then */
  takes: number;
  node: number;
  browser: number;
}

/**
 * Slope of memory over takes by least squares, in MB per hundred takes, with its standard error. Samples of one take are
 * averaged first: they are not independent of each other.
 */
export function growth(
  samples: readonly Sample[],
  of: 'node' | 'browser',
): { megabytes: number; error: number } {
  const byTake = new Map<number, number[]>();
  for (const s of samples) byTake.set(s.takes, [...(byTake.get(s.takes) ?? []), s[of] / 1e6]);
  const points = [...byTake].map(([x, all]) => ({ x, y: all.reduce((a, b) => a + b, 0) / all.length }));
  const n = points.length;
  if (n < 3) throw new RangeError(`expected samples of at least 3 takes but received those of ${n}`);
  const mx = points.reduce((sum, p) => sum + p.x, 0) / n;
  const my = points.reduce((sum, p) => sum + p.y, 0) / n;
  const sxx = points.reduce((sum, p) => sum + (p.x - mx) ** 2, 0);
  const slope = points.reduce((sum, p) => sum + (p.x - mx) * (p.y - my), 0) / sxx;
  const residual = points.reduce((sum, p) => sum + (p.y - my - slope * (p.x - mx)) ** 2, 0);
  return { megabytes: 100 * slope, error: 100 * Math.sqrt(residual / (n - 2) / sxx) };
}
