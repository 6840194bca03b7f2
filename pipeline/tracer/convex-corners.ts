/**
 * Corners of a convex polyhedron given as half-spaces n·x ≤ d (4 floats each): every meeting point of three planes that
 * no plane cuts off. Corners where more planes meet come several times. Throws RangeError when the planes enclose
 * nothing or leave it open. Corners of some cuts are kept for the process: bands that are shaped wear the same ones again
 * and again.
 */
export function convexCorners(planes: Float32Array): Float64Array {
  const key = planes.join();
  const corners = known.get(key) ?? cornersOf(planes);
  known.delete(key);
  known.set(key, corners);
  const oldest = known.keys().next().value;
  if (known.size > KEPT && oldest !== undefined) known.delete(oldest);
  return corners;
}

const KEPT = 64;
const known = new Map<string, Float64Array>();

function cornersOf(planes: Float32Array): Float64Array {
  const n = planes.length / 4;
  let size = 0;
  for (let i = 0; i < n; i++) size = Math.max(size, Math.abs(planes[4 * i + 3]));
  const slack = 1e-5 * size;
  const corners: number[] = [];
  /** corners on each plane: a closed solid has at least three wherever it has any */
  for (let i = 0; i < n; i++) {
    for (let j = i + 1; j < n; j++) {
      // direction of the line in which planes i and j meet
      const x = planes[4 * i + 1] * planes[4 * j + 2] - planes[4 * i + 2] * planes[4 * j + 1];
      const y = planes[4 * i + 2] * planes[4 * j] - planes[4 * i] * planes[4 * j + 2];
      const z = planes[4 * i] * planes[4 * j + 1] - planes[4 * i + 1] * planes[4 * j];
      const l2 = x * x + y * y + z * z;
      if (l2 < 1e-10) continue;
      // one point on it: (d_i n_j − d_j n_i) × line / |line|²
      const di = planes[4 * i + 3];
      const dj = planes[4 * j + 3];
      const a = di * planes[4 * j] - dj * planes[4 * i];
      const b = di * planes[4 * j + 1] - dj * planes[4 * i + 1];
      const c = di * planes[4 * j + 2] - dj * planes[4 * i + 2];
      const px = (b * z - c * y) / l2;
      const py = (c * x - a * z) / l2;
      const pz = (a * y - b * x) / l2;
      // the stretch of the line inside all other planes
      let from = -Infinity;
      let to = Infinity;
      for (let k = 0; k < n && from <= to + slack; k++) {
        if (k === i || k === j) continue;
        const along = planes[4 * k] * x + planes[4 * k + 1] * y + planes[4 * k + 2] * z;
        const room = planes[4 * k + 3] - planes[4 * k] * px - planes[4 * k + 1] * py - planes[4 * k + 2] * pz;
        if (Math.abs(along) < 1e-7) {
          if (room < -slack) from = Infinity;
        } else if (along > 0) to = Math.min(to, room / along);
        else from = Math.max(from, room / along);
      }
      if (from > to + slack) continue;
      if (!Number.isFinite(from) || !Number.isFinite(to))
        throw new RangeError('planes of a cut leave it open');
      corners.push(px + from * x, py + from * y, pz + from * z, px + to * x, py + to * y, pz + to * z);
    }
  }
  if (corners.length === 0) throw new RangeError('planes of a cut enclose nothing');
  return Float64Array.from(corners);
}
