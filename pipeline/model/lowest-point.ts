import type { BuiltShape } from '../band/built-shape.ts';

/** Least y of metal and stones, mm. */
export function lowestPoint(shape: BuiltShape): number {
  let low = Infinity;
  for (const { mesh } of shape.lanes) {
    for (let i = 1; i < mesh.positions.length; i += 3) low = Math.min(low, mesh.positions[i]);
  }
  for (const row of shape.rows) {
    const { positions } = row.stone.mesh;
    for (let s = 0; s < row.count; s++) {
      const [a, b, c, d] = row.placements.subarray(12 * s + 4, 12 * s + 8);
      for (let i = 0; i < positions.length; i += 3) {
        low = Math.min(low, a * positions[i] + b * positions[i + 1] + c * positions[i + 2] + d);
      }
    }
  }
  return low;
}
