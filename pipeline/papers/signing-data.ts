/** What a proof's page hands its script. */
import type { SigningTexts } from '../words/signing-words.ts';

export interface SigningData {
  /** name of the proof's files, without ending */
  proof: string;
  digest: string;
  order: string;
  /** ISO 8601 */
  expires?: string;
  /** address that replies go to */
  to?: string;
  nature: string;
  /** approval, or changes */
  decision: readonly [string, string];
  texts: SigningTexts;
}

/** Where it stands in the page. */
export const SIGNING_DATA = 'signing-data';
