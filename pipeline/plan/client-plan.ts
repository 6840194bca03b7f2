import type { PaperFormat } from '../trade/market.ts';
import type { Language } from '../trade/words.ts';
import type { ShapeDesign } from './design.ts';
import type { LocalText } from './local-text.ts';
import type { OrderedLetters } from './ordered-letters.ts';
import type { AlloyId, Sku, Variant } from './variant.ts';

/** The maker as papers for clients name it. */
export interface LetterheadPlan {
  name: string;
  address: string[];
  phone?: string;
  email?: string;
  website?: string;
  /** absolute path of an SVG, PNG or JPEG file */
  logo?: string;
  smallPrint?: LocalText;
}

export type StoneRate = { perCarat: number } | { perPiece: number };

/** The maker's own rates, all in one currency. */
export interface PricePlan {
  /** ISO 4217 */
  currency: string;
  /** which mass of metal is charged */
  mass: 'finished' | 'as-cast';
  /** share of that mass charged beside it */
  loss: number;
  perGram: Record<AlloyId, number>;
  /** by `stone origin`, see `stoneRateKey` */
  stones: Record<string, StoneRate>;
  labour: { fixed: number; perStone: number };
  /** share of the sum */
  markup: number;
  tax?: { name: LocalText; rate: number; included: boolean };
  /** prices are multiples of it */
  step: number;
}

export function stoneRateKey(stone: string, origin: string): string {
  return `${stone} ${origin}`;
}

/** A band as a client ordered it. */
export interface OrderBand {
  variant: Variant;
  /** as written in the order, in the client's own system; absent if the order names none */
  size?: string;
  /** how it was measured, in the maker's words */
  measured?: string;
  /** the order's own letters, and the design that carries them; absent if it says nothing of letters */
  engraved?: { letters: OrderedLetters[]; design: ShapeDesign };
}

/** One order. Names, notes and letters are personal: they go into the private folder and nowhere else. */
export interface OrderPlan {
  id: string;
  /** line of the orders file */
  line: number;
  names: string;
  /** one or two */
  bands: OrderBand[];
  /** SKU of the pair, if the two bands are one of the plan's */
  pair?: Sku;
  notes?: string;
  /** ISO 8601 dates */
  issued?: string;
  expires?: string;
  /** when the bands are to be ready */
  delivery?: string;
  language: Language;
}

export interface ProofPlan {
  /** also a proof for every pair, without names */
  pairs: boolean;
  papers: PaperFormat[];
  /** the maker's own lines to be ticked */
  options: LocalText[];
  expires?: string;
  /** share of the total */
  deposit?: number;
  terms?: LocalText;
  orders: OrderPlan[];
  /** pictures are coarse: proofs say so */
  draft?: boolean;
}

/** Name of the image output whose files go into proofs and not into the catalogue. */
export const PROOF_IMAGES = 'proof';
