/**
 * Where a watermark goes and in what ink, from the picture it is laid on: clear of the subject if asked, repeated over
 * the whole picture if asked, dark on light and light on dark.
 */
import type { WatermarkPlan } from '../plan/plan.ts';

/** 8-bit sRGB, three channels or four with straight alpha. */
export interface MarkedPixels {
  data: Uint8Array;
  width: number;
  height: number;
}

export interface MarkBox {
  left: number;
  top: number;
  width: number;
  height: number;
}

type Anchor = Exclude<WatermarkPlan['anchor'], 'clear'>;

/** Corners first, then edges; never the middle, where the subject is. */
const CLEAR: readonly Anchor[] = [
  'bottom-right',
  'bottom-left',
  'top-right',
  'top-left',
  'bottom',
  'top',
  'right',
  'left',
];
/** Standard deviation of luma, in codes, below which a place counts as empty ground: shadows fade, edges do not. */
const CALM = 6;
/** Gap between repeated marks, share of a mark's width. */
const TILE_GAP = 0.6;

export const DARK_INK = '#1c1c1c';
export const LIGHT_INK = '#f4f4f4';

/** One box in whole pixels; less than `size` wide if it would not fit between the margins. */
export function anchoredBox(
  mark: { width: number; height: number; plan: Pick<WatermarkPlan, 'size' | 'margin'> },
  anchor: Anchor,
  width: number,
  height: number,
): MarkBox {
  const margin = Math.round(mark.plan.margin * width);
  const room = { width: Math.max(1, width - 2 * margin), height: Math.max(1, height - 2 * margin) };
  const scale = Math.min(
    (mark.plan.size * width) / mark.width,
    room.width / mark.width,
    room.height / mark.height,
  );
  const w = Math.max(1, Math.round(mark.width * scale));
  const h = Math.max(1, Math.round((w * mark.height) / mark.width));
  const left = anchor.includes('left')
    ? margin
    : anchor.includes('right')
      ? width - margin - w
      : (width - w) / 2;
  const top = anchor.includes('top')
    ? margin
    : anchor.includes('bottom')
      ? height - margin - h
      : (height - h) / 2;
  return { left: Math.round(left), top: Math.round(top), width: w, height: h };
}

/**
 * All boxes of a watermark. `anchor: clear` takes the first of the corners and edges under which nothing stands, or the
 * emptiest; `repeat` lays whole marks in rows that are shifted by half a step, as bricks are, anchored in the middle.
 */
export function markBoxes(
  mark: { width: number; height: number; plan: WatermarkPlan },
  picture: MarkedPixels,
): MarkBox[] {
  const { width, height } = picture;
  const { anchor, repeat } = mark.plan;
  if (repeat) return tiles(anchoredBox(mark, 'centre', width, height), width, height);
  if (anchor !== 'clear') return [anchoredBox(mark, anchor, width, height)];
  const boxes = CLEAR.map((a) => anchoredBox(mark, a, width, height));
  const unrest = boxes.map((box) => lumaIn(picture, box).deviation);
  const calm = unrest.findIndex((d) => d < CALM);
  return [boxes[calm >= 0 ? calm : unrest.indexOf(Math.min(...unrest))]];
}

function tiles({ left, top, width: w, height: h }: MarkBox, width: number, height: number): MarkBox[] {
  const gap = Math.round(TILE_GAP * w);
  const [stepX, stepY] = [w + gap, h + gap];
  const boxes: MarkBox[] = [];
  const rows = Math.floor(top / stepY);
  for (let row = -rows; top + row * stepY + h <= height; row++) {
    const shift = row % 2 === 0 ? 0 : Math.round(stepX / 2);
    const columns = Math.floor((left + shift) / stepX);
    for (let x = left + shift - columns * stepX; x + w <= width; x += stepX)
      boxes.push({ left: x, top: top + row * stepY, width: w, height: h });
  }
  return boxes;
}

/**
 * The ink with the greater contrast against what lies under a box, by the contrast ratio of WCAG 2.2 (relative
 * luminances, each with 0.05 added).
 */
export function inkOn(picture: MarkedPixels, box: MarkBox): typeof DARK_INK | typeof LIGHT_INK {
  const ground = lumaIn(picture, box).luminance + 0.05;
  const [dark, light] = [DARK_INK, LIGHT_INK].map(
    (ink) => luminance(Number.parseInt(ink.slice(1, 3), 16)) + 0.05,
  );
  return ground / dark >= light / ground ? DARK_INK : LIGHT_INK;
}

/** Mean relative luminance (0 to 1) and deviation of luma (codes) under a box; what is transparent stands on white. */
function lumaIn(
  { data, width, height }: MarkedPixels,
  box: MarkBox,
): { luminance: number; deviation: number } {
  const channels = data.length / (width * height);
  let [sum, squares, light] = [0, 0, 0];
  for (let y = box.top; y < box.top + box.height; y++)
    for (let x = box.left; x < box.left + box.width; x++) {
      const i = (y * width + x) * channels;
      const alpha = channels === 4 ? data[i + 3] / 255 : 1;
      const [r, g, b] = [0, 1, 2].map((k) => alpha * data[i + k] + (1 - alpha) * 255);
      const luma = 0.2126 * r + 0.7152 * g + 0.0722 * b;
      sum += luma;
      squares += luma * luma;
      light += 0.2126 * luminance(r) + 0.7152 * luminance(g) + 0.0722 * luminance(b);
    }
  const n = box.width * box.height;
  return { luminance: light / n, deviation: Math.sqrt(Math.max(0, squares / n - (sum / n) ** 2)) };
}

/** Of an sRGB code, IEC 61966-2-1. */
function luminance(code: number): number {
  const v = code / 255;
  return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4;
}
