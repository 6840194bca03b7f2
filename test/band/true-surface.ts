import type { TriMesh } from '../../pipeline/band/built-shape.ts';
import type { Lane } from '../../pipeline/band/lane.ts';
import { laneSection } from '../../pipeline/band/lane-section.ts';
import type { SectionPoint } from '../../pipeline/band/section-piece.ts';

/** Parts that every smooth piece of the exact outline is divided into before the best of them is searched. */
const PARTS = 64;

/**
 * How far a mesh strays from the surface it stands for, mm: every so many-th triangle of a lane's mesh, at its middle and the middles of its sides, against the exact section
 * at the same θ. The distance within the section is at least that in space, so the measure is on the safe side.
 */
export function strayingOf({ positions, normals, indices }: TriMesh, lane: Lane, every = 1): number {
  let worst = 0;
  for (let t = 0; t < indices.length; t += 3 * every) {
    const [a, b, c] = [indices[t], indices[t + 1], indices[t + 2]];
    for (const shares of SAMPLES) {
      const mix = (from: Float32Array) =>
        [0, 1, 2].map(
          (k) => shares[0] * from[3 * a + k] + shares[1] * from[3 * b + k] + shares[2] * from[3 * c + k],
        );
      const [x, y, z] = mix(positions);
      const normal = mix(normals);
      const theta = Math.atan2(x, y);
      const r = Math.hypot(x, y);
      worst = Math.max(worst, nearest(laneSection(lane, theta), z, r, normal, theta));
    }
  }
  return worst;
}

const SAMPLES = [
  [1 / 3, 1 / 3, 1 / 3],
  [0.5, 0.5, 0],
  [0, 0.5, 0.5],
  [0.5, 0, 0.5],
];

/** Distance of the outline's nearest point that faces the same way: near a crease, the other side is none of it. */
function nearest(
  pieces: ReturnType<typeof laneSection>,
  z: number,
  r: number,
  normal: number[],
  theta: number,
): number {
  const away = (p: SectionPoint) => Math.hypot(p.z - z, p.r - r);
  let best = Number.POSITIVE_INFINITY;
  for (const piece of pieces) {
    if (piece.length === 0) continue;
    let at = 0;
    let least = Number.POSITIVE_INFINITY;
    for (let i = 0; i <= PARTS; i++) {
      const distance = away(piece.at(i / PARTS));
      if (distance < least) [at, least] = [i, distance];
    }
    let [low, high] = [Math.max(0, at - 1) / PARTS, Math.min(PARTS, at + 1) / PARTS];
    // to a millionth of the piece
    for (let i = 0; i < 20; i++) {
      const [c, d] = [low + 0.382 * (high - low), low + 0.618 * (high - low)];
      if (away(piece.at(c)) < away(piece.at(d))) high = d;
      else low = c;
    }
    const point = piece.at((low + high) / 2);
    if (angleBetween(normal, inBand(point, theta)) > 0.3) continue;
    best = Math.min(best, away(point));
  }
  return best;
}

function inBand({ nz, nr, nt }: SectionPoint, theta: number): number[] {
  const [sin, cos] = [Math.sin(theta), Math.cos(theta)];
  return [nr * sin + nt * cos, nr * cos - nt * sin, nz];
}

function angleBetween(a: number[], b: number[]): number {
  const cross = [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
  return Math.atan2(Math.hypot(...cross), a[0] * b[0] + a[1] * b[1] + a[2] * b[2]);
}
