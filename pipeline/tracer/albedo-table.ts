/**
 * Directional albedo E(cos θ, α) of the single-scatter GGX lobe with F = 1 (height-correlated Smith), the share of light a
 * perfect reflector keeps when light bounced between microfacets is dropped. The kernel gives the rest back.
 *
 * E is the mean of G2/G1 over visible normals, here over a regular 32 × 32 grid of the two variates: 2 million short
 * evaluations, some 100 ms once per process.
 */
const SIDE = 32;
const LEAST_MU = 2e-3;

/** `rows` rows over √α in [0, 1], `columns` over cos θ in [0, 1]. */
export function albedoTable(columns: number, rows: number): Float32Array {
  const table = new Float32Array(columns * rows);
  for (let j = 0; j < rows; j++) {
    const root = j / (rows - 1);
    for (let i = 0; i < columns; i++) {
      table[j * columns + i] = directionalAlbedo(
        Math.max(i / (columns - 1), LEAST_MU),
        Math.max(root * root, 1e-4),
      );
    }
  }
  return table;
}

function directionalAlbedo(mu: number, alpha: number): number {
  const x = Math.sqrt(1 - mu * mu);
  const s = 1 / Math.hypot(x * alpha, mu);
  const sx = x * alpha * s;
  const sz = mu * s;
  const a2 = alpha * alpha;
  const out = (Math.sqrt(1 + (a2 * x * x) / (mu * mu)) - 1) / 2;
  let sum = 0;
  for (let i = 0; i < SIDE; i++) {
    const h = (1 - (i + 0.5) / SIDE) * (1 + sz) - sz;
    const r = Math.sqrt(Math.max(0, 1 - h * h));
    for (let j = 0; j < SIDE; j++) {
      const phi = (2 * Math.PI * (j + 0.5)) / SIDE;
      let mx = (r * Math.cos(phi) + sx) * alpha;
      const my = r * Math.sin(phi) * alpha;
      let mz = Math.max(h + sz, 1e-9);
      const n = 1 / Math.sqrt(mx * mx + my * my + mz * mz);
      mx *= n;
      mz *= n;
      const z = 2 * (x * mx + mu * mz) * mz - mu;
      if (z <= 0) continue;
      const across = 1 - z * z;
      const back = (Math.sqrt(1 + (a2 * across) / (z * z)) - 1) / 2;
      sum += (1 + out) / (1 + out + back);
    }
  }
  return sum / (SIDE * SIDE);
}
