export interface Size {
  width: number;
  height: number;
}

/** A frame of the same form with at most so many pixels. */
export function within(width: number, height: number, pixels: number): Size {
  const scale = Math.min(1, Math.sqrt(pixels / (width * height)));
  return { width: Math.max(1, Math.round(width * scale)), height: Math.max(1, Math.round(height * scale)) };
}

/** ms that a coarse picture should take, by processors and by a graphics card */
const MS = { cores: 90, card: 33 };
const LEAST = 80 * 80;
const MOST = 320 * 320;

/** How many pixels the pictures of a turning band may have, so that they follow the hand. */
export class CoarseSize {
  pixels = 144 * 144;

  /** @param ms that a picture of so many took */
  took(ms: number, card: boolean): void {
    const fit = (this.pixels * (card ? MS.card : MS.cores)) / ms;
    const next = Math.min(MOST, Math.max(LEAST, (this.pixels + fit) / 2));
    // a card prepares for each size
    if (!card || Math.abs(Math.log2(next / this.pixels)) > 0.5) this.pixels = next;
  }
}
