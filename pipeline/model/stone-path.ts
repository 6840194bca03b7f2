import type { StoneSolid } from '../band/built-shape.ts';

type Vec = [number, number, number];

/** Coloured stones that bands are set with are corundum for the most part; a few tenths of index change paths little. */
const INDEX = 1.77;
/** Rays a side of the square about the stone. */
const ACROSS = 24;
/** What has not left by then is counted as it is. */
const MOST_MIRRORED = 12;

/**
 * Mean length, mm, of what light travels in a stone before it leaves where it came in or elsewhere, looked at from above: in
 * through the crown, mirrored by the pavilion, out again. Viewers see through a stone once, along one straight line from
 * table to culet; coloured by that length alone it comes out far too pale.
 */
export function lightPathMm({ planes, diameterMm, lengthMm = diameterMm, depthMm }: StoneSolid): number {
  const half = Math.max(diameterMm, lengthMm) / 2;
  let [sum, count] = [0, 0];
  for (let i = 0; i < ACROSS; i++) {
    for (let j = 0; j < ACROSS; j++) {
      const [x, y] = [i, j].map((k) => half * ((2 * k + 1) / ACROSS - 1));
      const length = pathFrom(planes, [x, y, 4 * half]);
      if (length === undefined) continue;
      sum += length;
      count++;
    }
  }
  return count > 0 ? sum / count : depthMm;
}

/** Of a ray that comes down; undefined where it misses the stone. */
function pathFrom(planes: Float64Array, above: Vec): number | undefined {
  let [enters, leaves, face] = [0, Number.POSITIVE_INFINITY, -1];
  for (let p = 0; p < planes.length; p += 4) {
    const over = planes[p] * above[0] + planes[p + 1] * above[1] + planes[p + 2] * above[2] - planes[p + 3];
    const nz = planes[p + 2];
    if (nz > 1e-9 && over / nz > enters) [enters, face] = [over / nz, p];
    else if (nz < -1e-9) leaves = Math.min(leaves, over / nz);
    else if (Math.abs(nz) <= 1e-9 && over > 0) return undefined;
  }
  if (face < 0 || enters >= leaves) return undefined;
  let at: Vec = [above[0], above[1], above[2] - enters];
  let way = refracted([0, 0, -1], normalAt(planes, face));
  let length = 0;
  for (let mirrored = 0; mirrored <= MOST_MIRRORED; mirrored++) {
    const hit = wayOut(planes, at, way);
    if (!hit) return undefined;
    length += hit.length;
    const n = normalAt(planes, hit.face);
    const cos = dot(way, n);
    // past the critical angle all of it is mirrored
    if (INDEX * INDEX * (1 - cos * cos) <= 1) return length;
    at = [at[0] + way[0] * hit.length, at[1] + way[1] * hit.length, at[2] + way[2] * hit.length];
    way = [way[0] - 2 * cos * n[0], way[1] - 2 * cos * n[1], way[2] - 2 * cos * n[2]];
  }
  return length;
}

function wayOut(planes: Float64Array, at: Vec, way: Vec): { face: number; length: number } | undefined {
  let out: { face: number; length: number } | undefined;
  for (let p = 0; p < planes.length; p += 4) {
    const n = normalAt(planes, p);
    const towards = dot(way, n);
    if (towards < 1e-9) continue;
    const length = (planes[p + 3] - dot(at, n)) / towards;
    if (!out || length < out.length) out = { face: p, length: Math.max(0, length) };
  }
  return out;
}

/** Snell's law, from air into the stone. */
function refracted(way: Vec, n: Vec): Vec {
  const cos = -dot(way, n);
  const inside = Math.sqrt(1 - (1 - cos * cos) / (INDEX * INDEX));
  const turn = cos / INDEX - inside;
  return [way[0] / INDEX + turn * n[0], way[1] / INDEX + turn * n[1], way[2] / INDEX + turn * n[2]];
}

const normalAt = (planes: Float64Array, p: number): Vec => [planes[p], planes[p + 1], planes[p + 2]];
const dot = (a: Vec, b: Vec) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
