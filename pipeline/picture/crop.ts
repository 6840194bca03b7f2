/**
 * Frames cut out of one traced picture: no ray is traced for them.
 *
 * Promise: a frame has its proportions to the pixel and never cuts the subject. Where the film ends before the frame
 * does, white and clear grounds are carried on: the film's edge fades into bare ground, so that no seam shows where a
 * soft shadow reaches it, and is smoothed the more the farther from it, so that its grain draws no streaks. Other grounds cannot be carried on honestly: there the frame moves and grows less generous
 * until it lies within the film and, if the subject does not fit even so or not at the side asked for, it is refused.
 */
import type { LinearPicture } from './develop.ts';
import type { Bounds } from './subject-bounds.ts';

export interface Crop {
  /** width over height */
  aspect: number;
  /** share of the frame that the subject takes on the side that it fills more: the most, and the least for a wider frame */
  fill: { most: number; least: number };
  /** the side at which the subject stands, as far from it as from top and bottom; the middle if absent */
  align?: 'left' | 'right';
  /** px of width up to which the frame may widen, down to the least fill; none without */
  wanted?: number;
  /** whether the ground may be carried on past the film */
  extend: boolean;
}

/** Whole pixels of the film; beyond the film on extended ground. Undefined if no such frame holds the subject. */
export function cropBox(
  film: { width: number; height: number },
  subject: Bounds,
  { aspect, fill, align, wanted = 0, extend }: Crop,
): Bounds | undefined {
  const least = Math.max(subject.right - subject.left, (subject.bottom - subject.top) * aspect);
  if (!(least > 0)) return undefined;
  let width = Math.max(least / fill.most, Math.min(least / fill.least, wanted));
  if (!extend) width = Math.min(width, film.width, film.height * aspect);
  const w = Math.round(width);
  let h = Math.round(w / aspect);
  if (!extend) h = Math.min(h, film.height);
  const centre = { x: (subject.left + subject.right) / 2, y: (subject.top + subject.bottom) / 2 };
  const [subjectWidth, subjectHeight] = [subject.right - subject.left, subject.bottom - subject.top];
  // a frame that is no wider than its margins asks keeps the subject in the middle
  const aside = align ? Math.max(0, (w - subjectWidth - (h - subjectHeight)) / 2) : 0;
  const middle = centre.x + (align === 'left' ? aside : -aside);
  let left = Math.round(middle - w / 2);
  let top = Math.round(centre.y - h / 2);
  if (!extend) {
    left = Math.max(0, Math.min(film.width - w, left));
    top = Math.max(0, Math.min(film.height - h, top));
  }
  const box = { left, top, right: left + w, bottom: top + h };
  // on ground that cannot be carried on, room for text is there or it is not
  if (Math.abs(left + w / 2 - middle) > 1 && aside > 0) return undefined;
  return holds(box, subject) ? box : undefined;
}

function holds(box: Bounds, subject: Bounds): boolean {
  return (
    box.left <= subject.left &&
    box.top <= subject.top &&
    box.right >= subject.right &&
    box.bottom >= subject.bottom
  );
}

/** The larger share of a box's sides that the subject takes. */
export function fillOfBox(box: Bounds, subject: Bounds): number {
  return Math.max(
    (subject.right - subject.left) / (box.right - box.left),
    (subject.bottom - subject.top) / (box.bottom - box.top),
  );
}

/** Over this share of the film's longer side its edge fades into bare ground. */
const FADE = 0.1;

/** @param ground frame value of bare ground, per channel */
export function cropPicture(
  frame: LinearPicture,
  box: Bounds,
  ground: readonly [number, number, number],
): LinearPicture {
  const width = box.right - box.left;
  const height = box.bottom - box.top;
  const data = new Float32Array(3 * width * height);
  const beyond = carriedOn(frame, ground);
  for (let y = 0, o = 0; y < height; y++) {
    const fy = box.top + y;
    for (let x = 0; x < width; x++, o += 3) {
      const fx = box.left + x;
      const within = fx >= 0 && fy >= 0 && fx < frame.width && fy < frame.height;
      if (!within) beyond(fx, fy, data, o);
      else for (let k = 0, i = 3 * (fy * frame.width + fx); k < 3; k++) data[o + k] = frame.data[i + k];
    }
  }
  return { width, height, data };
}

/** What is seen of the ground at a place outside the film, written to three values from `o` on. */
function carriedOn({ width, height, data }: LinearPicture, ground: readonly [number, number, number]) {
  const row = (y: number) => new EdgeMeans(width, (x, k) => data[3 * (y * width + x) + k]);
  const column = (x: number) => new EdgeMeans(height, (y, k) => data[3 * (y * width + x) + k]);
  const [top, bottom, left, right] = [row(0), row(height - 1), column(0), column(width - 1)];
  const fade = Math.max(1, FADE * Math.max(width, height));
  return (x: number, y: number, out: Float32Array, o: number) => {
    const dx = Math.max(-x, x - width + 1, 0);
    const dy = Math.max(-y, y - height + 1, 0);
    const away = Math.hypot(dx, dy);
    const t = Math.min(1, away / fade);
    const bare = t * t * (3 - 2 * t);
    // past a corner both edges count, by which of them is farther
    const share = dy / (dx + dy);
    for (let k = 0; k < 3; k++) {
      const level = share > 0 ? (y < 0 ? top : bottom).mean(x, away, k) : 0;
      const upright = share < 1 ? (x < 0 ? left : right).mean(y, away, k) : 0;
      out[o + k] = (share * level + (1 - share) * upright) * (1 - bare) + ground[k] * bare;
    }
  };
}

/** Means over stretches of an edge of the film. */
class EdgeMeans {
  private readonly length: number;
  private readonly sums: Float64Array[];

  constructor(length: number, value: (i: number, channel: number) => number) {
    this.length = length;
    this.sums = [0, 1, 2].map((k) => {
      const sums = new Float64Array(length + 1);
      for (let i = 0; i < length; i++) sums[i + 1] = sums[i] + value(i, k);
      return sums;
    });
  }

  /** As far to either side of a place as is asked for. */
  mean(at: number, reach: number, channel: number): number {
    const middle = Math.max(0, Math.min(this.length - 1, at));
    const from = Math.max(0, Math.round(middle - reach));
    const to = Math.min(this.length, Math.round(middle + reach) + 1);
    return (this.sums[channel][to] - this.sums[channel][from]) / (to - from);
  }
}
