/**
 * Directional albedo E of the single-scatter GGX lobe with F = 1 (height-correlated Smith): the share of light a perfect
 * reflector keeps when light bounced between microfacets is dropped. The kernel gives the rest back.
 *
 * E is the mean of G2/G1 over visible normals, here over a 24 × 24 grid of the two variates, warped
 * towards the lobe's long tail (an even grid misses it: 0.8 % too much for α = 0.09 at normal view). One table a surface,
 * over √cos θ (E falls steeply at grazing) and over cos² φ from the brushing direction, so that anisotropic lobes come out right too. (A single table
 * over the geometric mean of αx and αy was tried first: up to 6 % wrong for 0.05 × 0.3.)
 */
import { fresnelConductor } from '../trade/conductor.ts';

const SIDE = 24;
const LEAST_MU = 1e-4;

const known = new Map<string, Float32Array>();

/**
 * `rows` rows over cos² φ in [0, 1], `columns` over √cos θ in [0, 1]. Tables are kept for the process.
 * @param index of a clear coat: the share of light that it mirrors, instead of that of a perfect reflector
 */
export function albedoTable(
  columns: number,
  rows: number,
  alphaX: number,
  alphaY: number,
  index?: number,
): Float32Array {
  const key = `${columns} ${rows} ${alphaX} ${alphaY} ${index}`;
  let table = known.get(key);
  if (table) return table;
  table = new Float32Array(columns * rows);
  for (let j = 0; j < rows; j++) {
    const along = j / (rows - 1);
    for (let i = 0; i < columns; i++) {
      if (j > 0 && alphaX === alphaY) table[j * columns + i] = table[i];
      else {
        const mu = Math.max((i / (columns - 1)) ** 2, LEAST_MU);
        const sine = Math.sqrt(1 - mu * mu);
        table[j * columns + i] = directionalAlbedo(
          sine * Math.sqrt(along),
          sine * Math.sqrt(1 - along),
          mu,
          alphaX,
          alphaY,
          index,
        );
      }
    }
  }
  known.set(key, table);
  return table;
}

/** Of a table, over even light from the whole half space: 2 ∫ E cos θ d(cos θ), all turns alike. As the kernel reads it. */
export function meanAlbedo(table: Float32Array, columns: number, rows: number): number {
  const STEPS = 512;
  const TURNS = 32;
  let sum = 0;
  for (let i = 0; i < STEPS; i++) {
    const root = (i + 0.5) / STEPS;
    const column = root * (columns - 1);
    const c = Math.min(Math.floor(column), columns - 2);
    for (let j = 0; j < TURNS; j++) {
      const row = Math.cos((Math.PI / 2) * ((j + 0.5) / TURNS)) ** 2 * (rows - 1);
      const r = Math.min(Math.floor(row), rows - 2);
      const at = (k: number) => {
        const a = table[k * columns + c];
        return a + (column - c) * (table[k * columns + c + 1] - a);
      };
      sum += (at(r) + (row - r) * (at(r + 1) - at(r))) * 4 * root ** 3;
    }
  }
  return sum / (STEPS * TURNS);
}

function directionalAlbedo(x: number, y: number, mu: number, ax: number, ay: number, index?: number): number {
  const s = 1 / Math.hypot(x * ax, y * ay, mu);
  const sx = x * ax * s;
  const sy = y * ay * s;
  const sz = mu * s;
  const out = lambda(x, y, mu, ax, ay);
  let sum = 0;
  for (let i = 0; i < SIDE; i++) {
    // variate 1 − e² with weight 2e: the tail lies at e = 0
    const e = (i + 0.5) / SIDE;
    const h = e * e * (1 + sz) - sz;
    const r = Math.sqrt(Math.max(0, 1 - h * h));
    for (let j = 0; j < SIDE; j++) {
      const phi = (2 * Math.PI * (j + 0.5)) / SIDE;
      const nx = (r * Math.cos(phi) + sx) * ax;
      const ny = (r * Math.sin(phi) + sy) * ay;
      const nz = Math.max(h + sz, 1e-9);
      const n = 1 / Math.sqrt(nx * nx + ny * ny + nz * nz);
      const d = 2 * n * n * (x * nx + y * ny + mu * nz);
      const z = d * nz - mu;
      if (!(z > 0)) continue;
      const kept = index === undefined ? 1 : fresnelConductor(index, 0, Math.min(1, d / (2 * n)));
      sum += (kept * (2 * e * (1 + out))) / (1 + out + lambda(d * nx - x, d * ny - y, z, ax, ay));
    }
  }
  return sum / (SIDE * SIDE);
}

/** Smith's Λ. */
function lambda(x: number, y: number, z: number, ax: number, ay: number): number {
  return (Math.sqrt(1 + (x * x * ax * ax + y * y * ay * ay) / (z * z)) - 1) / 2;
}
