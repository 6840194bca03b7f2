import type { TextureDesign } from '../plan/texture-design.ts';
import type { TexturePattern } from '../trade/textures.ts';
import type { Lane } from './lane.ts';
import { motifDepth, motifStep } from './motif.ts';
import { pictureDepth, pictureStep } from './picture-relief.ts';
import { midRadius, type ProfileSurface } from './profile.ts';
import { runningOut, type SurfaceField } from './surface-field.ts';

/**
 * How deep a pattern is at a place, as a share of its depth from 0 to 1. u goes once round the band in `cells` of the
 * pattern and closes there; v goes across in cells of the same length.
 */
type Pattern = (u: number, v: number, cells: number, seed: number) => number;

/** Patterns that are worked out, not drawn. */
type Grown = Exclude<TexturePattern, 'motif' | 'picture'>;

/** Mesh edges to one cell of a pattern: enough for its steepest flanks. */
const EDGES: Readonly<Record<Grown, number>> = { bark: 11, 'sand-cast': 8, linen: 8, florentine: 6 };

/** Longest mesh edge on a textured surface, mm. */
export function textureStep({ pattern, sizeMm, motif, picture }: TextureDesign): number {
  if (motif) return motifStep(motif);
  return picture ? pictureStep(picture) : sizeMm / EDGES[pattern as Grown];
}

/** Cells of a pattern that go round a lane. */
export function cellsRound(outer: ProfileSurface, { sizeMm, motif, picture }: TextureDesign): number {
  return Math.max(motif || picture ? 1 : 3, Math.round((2 * Math.PI * midRadius(outer)) / sizeMm));
}

/** A textured outer surface as heights over the smooth one, along its normal; it runs out beside seams and edges. */
export function textureField(lane: Lane, texture: TextureDesign): SurfaceField {
  const { pattern, depthMm, seed, motif, picture } = texture;
  const cells = cellsRound(lane.outer, texture);
  const cellMm = (2 * Math.PI * midRadius(lane.outer)) / cells;
  const share = motif
    ? motifDepth(lane, motif, cells, depthMm)
    : picture && pictureDepth(lane, picture, cells, depthMm);
  if (share) {
    return runningOut(lane, (theta, z) => -depthMm * share(theta, z));
  }
  const depth = PATTERNS[pattern as Grown];
  return runningOut(lane, (theta, z) => {
    const turn = theta / (2 * Math.PI);
    return -depthMm * depth((turn - Math.floor(turn)) * cells, z / cellMm, cells, seed);
  });
}

const PATTERNS: Readonly<Record<Grown, Pattern>> = {
  // long fissures that run along the band and join: ridged noise, drawn out and bent by other noise
  bark: (u, v, cells, seed) => {
    const long = Math.max(3, Math.round(cells / 3));
    const along = (u * long) / cells;
    const bent = v + 0.45 * noise(along, v * 0.5, long, seed + 1);
    const coarse = fissure(noise(along, bent, long, seed));
    const fine = fissure(noise(along * 2, bent * 2.3, long * 2, seed + 2));
    return 0.75 * coarse + 0.25 * fine;
  },
  // three octaves of noise, as grains of sand of several sizes leave them
  'sand-cast': (u, v, cells, seed) => {
    const sum =
      noise(u, v, cells, seed) +
      0.55 * noise(2 * u, 2 * v, 2 * cells, seed + 1) +
      0.3 * noise(4 * u, 4 * v, 4 * cells, seed + 2);
    return smooth(0.5 + 0.62 * sum);
  },
  // plain weave: each thread goes over one and under the next, and lies deepest where it passes under
  linen: (u, v, cells) => {
    const columns = 2 * Math.max(2, Math.round(cells / 2));
    const [a, b] = [(u * columns) / cells, (v * columns) / cells];
    const over = Math.sin(Math.PI * a) * Math.sin(Math.PI * b);
    const [warp, weft] = [thread(a) * (0.62 + 0.38 * over), thread(b) * (0.62 - 0.38 * over)];
    return 1 - softMost(warp, weft);
  },
  // fine V cuts at ±60° to the band that cross, each its own depth
  florentine: (u, v, cells, seed) => {
    const cut = (at: number, salt: number) => {
      const line = Math.round(at);
      const strength = 0.7 + 0.3 * share(((line % cells) + cells) % cells, salt, seed);
      return strength * softV(at - line);
    };
    const lean = v * Math.tan(Math.PI / 6);
    return softMost(cut(u + lean, 1), cut(u - lean, 2));
  },
};

const smooth = (t: number) => {
  const x = Math.min(1, Math.max(0, t));
  return x * x * (3 - 2 * x);
};

/** 1 in the bed of a fissure, where noise passes through 0, to 0 beside it. */
const fissure = (value: number) => smooth(1 - Math.abs(value) / 0.6);

/** Section of a thread: high over its middle, at whole numbers and a half. */
const thread = (at: number) => Math.abs(Math.sin(Math.PI * at)) ** 0.8;

/** The larger of two, rounded where they are equal. */
function softMost(a: number, b: number): number {
  const blend = 0.12;
  return (a + b + Math.sqrt((a - b) ** 2 + blend ** 2) - blend) / 2;
}

/** A V that is a little narrower than a cell, its bottom rounded. */
const softV = (off: number) => Math.max(0, 1 - (Math.sqrt(off * off + 0.0009) - 0.03) / 0.46);

/** Gradient noise in about −1…1 (Perlin, "Improving noise", SIGGRAPH 2002), `cells` to a turn of u. */
function noise(u: number, v: number, cells: number, seed: number): number {
  const [i, j] = [Math.floor(u), Math.floor(v)];
  const [a, b] = [u - i, v - j];
  const corner = (di: number, dj: number) => {
    const angle = 2 * Math.PI * share((((i + di) % cells) + cells) % cells, j + dj, seed);
    return Math.cos(angle) * (a - di) + Math.sin(angle) * (b - dj);
  };
  const [s, t] = [fade(a), fade(b)];
  const low = corner(0, 0) * (1 - s) + corner(1, 0) * s;
  const high = corner(0, 1) * (1 - s) + corner(1, 1) * s;
  return 1.5 * (low * (1 - t) + high * t);
}

const fade = (t: number) => t * t * t * (t * (6 * t - 15) + 10);

/** A repeatable share in [0, 1) of a cell: the finisher of MurmurHash3 (public domain). */
function share(i: number, j: number, seed: number): number {
  let h = (Math.imul(i, 0x9e3779b1) ^ Math.imul(j, 0x85ebca6b) ^ Math.imul(seed + 1, 0xc2b2ae35)) >>> 0;
  h = Math.imul(h ^ (h >>> 16), 0x85ebca6b);
  h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35);
  return ((h ^ (h >>> 16)) >>> 0) / 4294967296;
}
