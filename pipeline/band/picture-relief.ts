import type { PictureDesign } from '../plan/texture-design.ts';
import type { FlatPoint } from './flattened.ts';
import { type Lane, laneMiddle } from './lane.ts';
import { midRadius } from './profile.ts';

/** Longest mesh edge on a lane with a picture, mm. */
export function pictureStep({ heightMm }: PictureDesign): number {
  return Math.min(0.12, Math.max(0.05, heightMm / 40));
}

/**
 * Standard deviation of the Gaussian by which a picture is made softer, mm. An edge from white to black then rises by
 * depth / (σ √2π) at its middle: at most 45°, as cutters and casting want it, and no steeper than the mesh can show.
 */
export function softeningMm(picture: PictureDesign, depthMm: number): number {
  return Math.max(depthMm / Math.sqrt(2 * Math.PI), pictureStep(picture));
}

interface Grid {
  columns: number;
  rows: number;
  dark: Float32Array;
}

/** Its darkness from 0 to 1, row by row from the top. */
function darkness(grey: string): Grid {
  const [, columns, rows, base64] = /^grey (\d+)x(\d+) (.+)$/.exec(grey)!;
  const dark = Float32Array.from(atob(base64), (c) => c.charCodeAt(0) / 255);
  return { columns: Number(columns), rows: Number(rows), dark };
}

/** Length of a picture along the band before it is made to close, mm. */
export function pictureLength({ grey, heightMm }: PictureDesign): number {
  const { columns, rows } = darkness(grey);
  return (heightMm * columns) / rows;
}

/** By how much a picture that closes round the band is drawn out for it (less than 0: in), a share of its length. */
export function closingStretch(lane: Lane, picture: PictureDesign, count: number): number {
  if (!picture.seamless) return 0;
  return (2 * Math.PI * midRadius(lane.outer)) / count / pictureLength(picture) - 1;
}

/**
 * How deep a lane is cut at (θ, z) by a picture that stands `count` times round it, along the middle of the lane, as a
 * share of its depth. Lengths along the band are true at the lane's own radius but for what closing takes.
 */
export function pictureDepth(
  lane: Lane,
  picture: PictureDesign,
  count: number,
  depthMm: number,
): (theta: number, z: number) => number {
  const { heightMm, seamless, raised } = picture;
  const given = darkness(picture.grey);
  const placeMm = heightMm / given.rows;
  const sigma = softeningMm(picture, depthMm) / placeMm;
  const soft = softened(given, sigma, seamless);
  const pitch = (2 * Math.PI * midRadius(lane.outer)) / count;
  const acrossMm = placeMm * (1 + closingStretch(lane, picture, count));
  return (theta, z) => {
    const turn = (theta * count) / (2 * Math.PI) + 0.5;
    const s = (turn - Math.floor(turn) - 0.5) * pitch;
    const t = laneMiddle(lane, theta).z - z;
    const dark = soft(s / acrossMm + given.columns / 2, given.rows / 2 - t / placeMm);
    return raised ? 1 - dark : dark;
  };
}

/**
 * A picture made softer, asked at (u, v) in places from its left and upper edge. Beyond it all is white; one that closes
 * goes on with itself.
 */
function softened({ columns, rows, dark }: Grid, sigma: number, closes: boolean) {
  const reach = Math.ceil(3 * sigma);
  const kernel = Array.from({ length: 2 * reach + 1 }, (_, i) => Math.exp(-(((i - reach) / sigma) ** 2) / 2));
  const sum = kernel.reduce((a, b) => a + b);
  const [left, wide] = closes ? [0, columns] : [reach, columns + 2 * reach];
  const high = rows + 2 * reach;
  const along = new Float32Array(wide * rows);
  for (let j = 0; j < rows; j++)
    for (let i = 0; i < wide; i++) {
      let value = 0;
      for (let k = -reach; k <= reach; k++) {
        const at = i - left + k;
        const own = closes ? ((at % columns) + columns) % columns : at;
        if (own >= 0 && own < columns) value += kernel[k + reach] * dark[j * columns + own];
      }
      along[j * wide + i] = value / sum;
    }
  const both = new Float32Array(wide * high);
  for (let j = 0; j < high; j++)
    for (let k = Math.max(-reach, reach - j); k <= Math.min(reach, rows + reach - 1 - j); k++) {
      const share = kernel[k + reach] / sum;
      for (let i = 0; i < wide; i++) both[j * wide + i] += share * along[(j - reach + k) * wide + i];
    }
  // places are told at their middles
  const column = (i: number) => (closes ? ((i % wide) + wide) % wide : i);
  const value = (i: number, j: number) => {
    const own = column(i);
    return own < 0 || own >= wide || j < 0 || j >= high ? 0 : both[j * wide + own];
  };
  return (u: number, v: number): number => {
    const [x, y] = [u + left - 0.5, v + reach - 0.5];
    const [i, j] = [Math.floor(x), Math.floor(y)];
    const [a, b] = [x - i, y - j];
    const upper = value(i, j) * (1 - a) + value(i + 1, j) * a;
    const lower = value(i, j + 1) * (1 - a) + value(i + 1, j + 1) * a;
    return upper * (1 - b) + lower * b;
  };
}

/** Closed lines round what is darker than half, about the picture's middle, mm: along the band and up, as letters are. */
export function halfDepthLines({ grey, heightMm }: PictureDesign, stretch: number): FlatPoint[][] {
  const { columns, rows, dark } = darkness(grey);
  const placeMm = heightMm / rows;
  const inside = (i: number, j: number) => i >= 0 && j >= 0 && i < columns && j < rows;
  const at = (i: number, j: number) => (inside(i, j) ? dark[j * columns + i] : 0) - 0.5;
  /** from the edge between two places on which a line comes into a cell to where it leaves it */
  const next = new Map<number, { to: number; point: FlatPoint }>();
  for (let j = -1; j < rows; j++)
    for (let i = -1; i < columns; i++) {
      const corners = [
        [i, j],
        [i + 1, j],
        [i + 1, j + 1],
        [i, j + 1],
      ] as const;
      const crossed = corners.flatMap(([a, b], k) => {
        const [c, d] = corners[(k + 1) % 4];
        const [from, to] = [at(a, b), at(c, d)];
        if (from < 0 === to < 0) return [];
        const share = from / (from - to);
        const [u, v] = [a + share * (c - a) + 0.5, b + share * (d - b) + 0.5];
        const edge = 2 * ((Math.min(b, d) + 1) * (columns + 2) + Math.min(a, c) + 1) + (b === d ? 0 : 1);
        const point: FlatPoint = [(u - columns / 2) * placeMm * (1 + stretch), (rows / 2 - v) * placeMm];
        return [{ edge, point, darker: to >= 0 }];
      });
      crossed.forEach(({ edge, point, darker }, k) => {
        if (darker) next.set(edge, { to: crossed[(k + 1) % crossed.length].edge, point });
      });
    }
  const lines: FlatPoint[][] = [];
  for (const [first] of next) {
    const line: FlatPoint[] = [];
    for (let at: number | undefined = first; at !== undefined; ) {
      const step = next.get(at);
      if (step) line.push(step.point);
      next.delete(at);
      at = step?.to;
    }
    lines.push(line);
  }
  return lines;
}
