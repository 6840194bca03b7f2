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
const MOST = { cores: 320 * 320, card: 480 * 480 };
/** samples of a pixel, where a card has time for more than one */
const MOST_SAMPLES = 8;

/** How many pixels the pictures of a turning band may have, and samples those, so that they follow the hand. */
export class CoarseSize {
  pixels = 144 * 144;
  samples = 1;

  /** @param ms that a picture of so many took */
  took(ms: number, card: boolean): void {
    const [wanted, most] = card ? [MS.card, MOST.card] : [MS.cores, MOST.cores];
    if (card && this.pixels === most && ms < wanted / 2) {
      this.samples = Math.min(MOST_SAMPLES, 2 * this.samples);
      return;
    }
    if (this.samples > 1) {
      // one slow picture is no reason for coarser ones
      if (ms > wanted) this.samples = card ? this.samples / 2 : 1;
      return;
    }
    const fit = (this.pixels * wanted) / ms;
    this.pixels = Math.min(most, Math.max(LEAST, (this.pixels + fit) / 2));
  }
}
