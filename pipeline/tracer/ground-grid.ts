/**
 * The light of the empty studio on the ground, as it lies in the kernel's memory: GRID × GRID nodes of four floats at stretched
 * places (`kernel/irradiance.ts`).
 */
import { GRID, GRID_CENTRE, GRID_STRETCH, IRRADIANCE } from './kernel/layout.ts';
import type { KernelExports } from './kernel-exports.ts';

/** Floats of the grid. */
export const GROUND_FLOATS = GRID * GRID * 4;

const HALF = (GRID - 1) / 2;

/** The grid of a loaded scene, where it lies. */
export function groundGrid(memory: WebAssembly.Memory): Float32Array {
  return new Float32Array(memory.buffer, IRRADIANCE, GROUND_FLOATS);
}

/** mm from the grid's centre to its `i`th nodes. */
function placeOf(i: number, stretch: number): number {
  const g = Math.min(Math.max(i / HALF - 1, -0.995), 0.995);
  return (g * stretch) / (1 - Math.abs(g));
}

/** Nodes that are measured for a first picture: the others lie between two of them. */
const MEASURED = Array.from({ length: GRID }, (_, i) => i).filter((i) => i % 2 === 0 || i === GRID - 1);

/**
 * Measures about a quarter of the nodes of a loaded scene's grid, or one of so many shares of these, into `grid`.
 * @param out sixteen floats of the kernel's memory that it may overwrite
 */
export function measureSparsely(
  { memory, kernel }: { memory: WebAssembly.Memory; kernel: KernelExports },
  { share, of }: { share: number; of: number },
  grid: Float32Array,
  out: { at: number; values: Float32Array },
): void {
  const [x0, z0] = new Float32Array(memory.buffer, GRID_CENTRE, 2);
  const [stretch] = new Float32Array(memory.buffer, GRID_STRETCH, 1);
  MEASURED.forEach((j, row) => {
    if (row % of !== share) return;
    for (let n = 0; n < MEASURED.length; n += 4) {
      // the last of a row stands for those that are missing of four
      const four = [0, 1, 2, 3].map((k) => MEASURED[Math.min(n + k, MEASURED.length - 1)]);
      const [a, b, c, d] = four.map((i) => x0 + placeOf(i, stretch));
      kernel.measurePlaces(a, b, c, d, z0 + placeOf(j, stretch), out.at);
      four.forEach((i, k) => {
        grid.set(out.values.subarray(4 * k, 4 * k + 4), 4 * (j * GRID + i));
      });
    }
  });
}

/** Fills a grid that was measured so: nodes between two others get their mean. */
export function fillSparse(grid: Float32Array): void {
  const node = (i: number, j: number) => 4 * (j * GRID + i);
  const mean = (to: number, a: number, b: number) => {
    for (let k = 0; k < 4; k++) grid[to + k] = (grid[a + k] + grid[b + k]) / 2;
  };
  for (const j of MEASURED)
    for (let i = 1; i < GRID - 1; i += 2) mean(node(i, j), node(i - 1, j), node(i + 1, j));
  for (let j = 1; j < GRID - 1; j += 2)
    for (let i = 0; i < GRID; i++) mean(node(i, j), node(i, j - 1), node(i, j + 1));
}

/** The grid of a scene that has turned by `angle` about the grid's centre. */
export function turnedGrid(rest: Float32Array, stretch: number, angle: number): Float32Array {
  const out = new Float32Array(rest.length);
  const c = Math.cos(angle);
  const s = Math.sin(angle);
  const node = (x: number) => Math.min((x / (Math.abs(x) + stretch) + 1) * HALF, GRID - 1.001);
  for (let j = 0; j < GRID; j++) {
    for (let i = 0; i < GRID; i++) {
      const [x, z] = [placeOf(i, stretch), placeOf(j, stretch)];
      const u = node(c * x + s * z);
      const v = node(c * z - s * x);
      const [a, b] = [Math.floor(u), Math.floor(v)];
      for (let k = 0; k < 3; k++) {
        const cell = (p: number, q: number) => rest[(q * GRID + p) * 4 + k];
        const near = cell(a, b) + (u - a) * (cell(a + 1, b) - cell(a, b));
        const far = cell(a, b + 1) + (u - a) * (cell(a + 1, b + 1) - cell(a, b + 1));
        out[(j * GRID + i) * 4 + k] = near + (v - b) * (far - near);
      }
    }
  }
  return out;
}
