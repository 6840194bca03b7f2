/** px: facets stay crisp (σ ≈ 0.4 px) and edges still blend over three pixels */
const RADIUS = 1.5;

/**
 * Offsets in pixels over a uniform variate, `steps` + 1 of them, linear between: the inverse of the cumulative
 * Blackman–Harris window (Harris, Proc. IEEE 66(1), 1978). Sampling the filter's shape gives every sample weight one, so
 * tiles never have to share border samples.
 */
export function filterTable(steps: number): Float32Array {
  const FINE = 8192;
  const cumulative = new Float64Array(FINE + 1);
  for (let i = 0; i < FINE; i++) {
    const x = (2 * Math.PI * (i + 0.5)) / FINE;
    const w = 0.35875 - 0.48829 * Math.cos(x) + 0.14128 * Math.cos(2 * x) - 0.01168 * Math.cos(3 * x);
    cumulative[i + 1] = cumulative[i] + w;
  }
  const table = new Float32Array(steps + 1);
  let i = 0;
  for (let k = 0; k <= steps; k++) {
    const u = (k / steps) * cumulative[FINE];
    while (i < FINE - 1 && cumulative[i + 1] < u) i++;
    const inside = Math.min(1, (u - cumulative[i]) / (cumulative[i + 1] - cumulative[i]));
    table[k] = ((i + inside) / FINE) * 2 * RADIUS - RADIUS;
  }
  return table;
}
