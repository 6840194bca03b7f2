import { type LinearPicture, PAPER_WHITE } from './develop.ts';

/** Pixels, half open: right and bottom are the first ones outside. */
export interface Bounds {
  left: number;
  top: number;
  right: number;
  bottom: number;
}

/** A pixel belongs to the subject if a channel is below this share of paper white. Soft shadow on the ground stays above. */
const DARK = 0.6;
/** A row or column counts when this many of its pixels do, so that a stray dark sample is no edge. */
const LEAST = 2;

/** Bounds of what stands on the white ground, or undefined for a blank frame. The core of a contact shadow counts in. */
export function subjectBounds({ width, height, data }: LinearPicture): Bounds | undefined {
  const columns = new Uint32Array(width);
  const rows = new Uint32Array(height);
  for (let y = 0, i = 0; y < height; y++) {
    for (let x = 0; x < width; x++, i += 3) {
      if (Math.min(data[i], data[i + 1], data[i + 2]) >= DARK * PAPER_WHITE) continue;
      columns[x]++;
      rows[y]++;
    }
  }
  const first = (counts: Uint32Array) => counts.findIndex((n) => n >= LEAST);
  const end = (counts: Uint32Array) => counts.findLastIndex((n) => n >= LEAST) + 1;
  const left = first(columns);
  const top = first(rows);
  if (left < 0 || top < 0) return undefined;
  return { left, top, right: end(columns), bottom: end(rows) };
}

/** The larger share of the frame's sides that the subject takes. */
export function fillOf(frame: LinearPicture): number {
  const b = subjectBounds(frame);
  return b ? Math.max((b.right - b.left) / frame.width, (b.bottom - b.top) / frame.height) : 0;
}
