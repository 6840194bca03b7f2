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
export function lightPathMm(stone: StoneSolid): number {
  const ways = waysThrough(stone, 0);
  return ways.length > 0 ? ways.reduce((sum, { length }) => sum + length, 0) / ways.length : stone.depthMm;
}

/** Tilts at which a stone in a band is looked at while it is turned, degrees off its table. */
const TILTS = [0, 15, 30, 45];

/**
 * Share of the light that comes out of a stone towards an eye over its crown which has come in from below, and so shows what
 * lies beneath; the rest has come in through the crown and was mirrored by the pavilion. By reversal, the share of rays from
 * that eye that leave below the girdle. What the surfaces mirror outside is left to viewers.
 */
export function shareThrough(stone: StoneSolid): number {
  const ways = TILTS.flatMap((tilt) => waysThrough(stone, (tilt * Math.PI) / 180));
  return ways.length > 0 ? ways.filter(({ below }) => below).length / ways.length : 1;
}

/** A ray's way in a stone: how long, and whether it left through a face that looks down. */
interface Way {
  length: number;
  below: boolean;
}

/** Of a square of rays that come down, tilted towards x; those that meet the girdle from the side are none of the crown's. */
function waysThrough({ planes, diameterMm, lengthMm = diameterMm }: StoneSolid, tilt: number): Way[] {
  const half = Math.max(diameterMm, lengthMm) / 2;
  const [sin, cos] = [Math.sin(tilt), Math.cos(tilt)];
  const ways: Way[] = [];
  for (let i = 0; i < ACROSS; i++) {
    for (let j = 0; j < ACROSS; j++) {
      const [x, y] = [i, j].map((k) => half * ((2 * k + 1) / ACROSS - 1));
      const far = 4 * half;
      const way = wayFrom(planes, [x * cos - far * sin, y, x * sin + far * cos], [sin, 0, -cos]);
      if (way) ways.push(way);
    }
  }
  return ways;
}

/** Undefined where the ray misses the crown. */
function wayFrom(planes: Float64Array, from: Vec, towards: Vec): Way | undefined {
  let [enters, leaves, face] = [0, Number.POSITIVE_INFINITY, -1];
  for (let p = 0; p < planes.length; p += 4) {
    const n = normalAt(planes, p);
    const over = dot(from, n) - planes[p + 3];
    const down = -dot(towards, n);
    if (down > 1e-9 && over / down > enters) [enters, face] = [over / down, p];
    else if (down < -1e-9) leaves = Math.min(leaves, over / down);
    else if (Math.abs(down) <= 1e-9 && over > 0) return undefined;
  }
  if (face < 0 || enters >= leaves || planes[face + 2] < 1e-9) return undefined;
  let at: Vec = [from[0] + towards[0] * enters, from[1] + towards[1] * enters, from[2] + towards[2] * enters];
  let way = refracted(towards, normalAt(planes, face));
  let length = 0;
  for (let mirrored = 0; mirrored <= MOST_MIRRORED; mirrored++) {
    const hit = wayOut(planes, at, way);
    if (!hit) return undefined;
    length += hit.length;
    const n = normalAt(planes, hit.face);
    const cos = dot(way, n);
    // past the critical angle all of it is mirrored
    if (INDEX * INDEX * (1 - cos * cos) <= 1) return { length, below: n[2] < -1e-9 };
    at = [at[0] + way[0] * hit.length, at[1] + way[1] * hit.length, at[2] + way[2] * hit.length];
    way = [way[0] - 2 * cos * n[0], way[1] - 2 * cos * n[1], way[2] - 2 * cos * n[2]];
  }
  return { length, below: false };
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
