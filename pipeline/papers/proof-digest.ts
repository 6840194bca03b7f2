/** What a proof asks a couple to agree to, as one hash: a proof with another must be shown anew. */

import type { Proof } from './proof-page.ts';
import { digestOf } from './reply.ts';

/** How the bands are made, which the words of a proof tell in part only. */
export interface DesignedBand {
  /** geometry as planned, letters included */
  design: unknown;
  alloys: readonly string[];
  finishes: readonly string[];
  stones: readonly string[];
}

/**
 * 64 hex digits over order, names, bands, letters, price, delivery, options, terms and the designs themselves. Not of it:
 * pictures, letterhead, cautions, when it was issued and until when it holds, so that a picture traced anew or a longer
 * date voids no signature.
 * @param language of its words
 */
export function proofDigest(proof: Proof, designs: readonly DesignedBand[], language: string): string {
  const { order, names, delivery, terms, bands, price, notes, options } = proof;
  const told = bands.map(({ letters, ...band }) => ({
    ...band,
    letters: letters.map(({ side, text }) => ({ side, text })),
  }));
  return digestOf({ order, names, delivery, terms, bands: told, price, notes, options, designs, language });
}
