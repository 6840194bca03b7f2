/**
 * Rotation part of a rigid placement as a quaternion.
 */

/**
 * @param m rows of a 3×4 matrix whose 3×3 part is a rotation
 * @returns unit quaternion (x, y, z, w). Shepperd's method: the largest component is found first, so nothing is
 *   divided by a small number (Shepperd 1978, J. Guidance and Control 1(3)).
 */
export function placementRotation(m: ArrayLike<number>): [number, number, number, number] {
  const trace = m[0] + m[5] + m[10];
  const q: [number, number, number, number] = [0, 0, 0, 0];
  const diagonal = [m[0], m[5], m[10], trace];
  const i = diagonal.indexOf(Math.max(...diagonal));
  if (i === 3) {
    q[3] = 1 + trace;
    q[0] = m[9] - m[6];
    q[1] = m[2] - m[8];
    q[2] = m[4] - m[1];
  } else {
    const j = (i + 1) % 3;
    const k = (i + 2) % 3;
    q[i] = 1 - trace + 2 * diagonal[i];
    q[j] = m[4 * j + i] + m[4 * i + j];
    q[k] = m[4 * k + i] + m[4 * i + k];
    q[3] = m[4 * k + j] - m[4 * j + k];
  }
  const length = Math.hypot(...q);
  return q.map((v) => v / length) as typeof q;
}
