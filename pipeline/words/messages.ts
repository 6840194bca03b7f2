import type { ShotName } from '../plan/plan.ts';
import type { OtherSize } from '../trade/bench-care.ts';
import type { BenchRuleName } from '../trade/bench-limits.ts';
import type { CutName } from '../trade/cuts.ts';
import type { MarkedBy } from '../trade/market.ts';
import type { BenchMessages } from './bench-messages.ts';
import type { CasterNote } from './caster-note.ts';
import type { LOOK_ENGLISH } from './look-en.ts';
import type { PAGE_ENGLISH } from './page-en.ts';
import type { SHAPING_ENGLISH } from './shaping-en.ts';
import type { SigningMessages } from './signing-words.ts';
import type { TicketMessages } from './ticket-words.ts';

/**
 * Everything that is said beside the maker's own words, in one language. A key that a language lacks is a type error.
 * Words of the trade (alloys, stones, cuts, finishes) are in `trade/words.ts`, alternative texts in `plan/`.
 */
export interface Messages {
  /** what people read under a picture */
  views: Record<ShotName, string>;
  /** of a set of three */
  threeTogether: string;
  /** title of a catalogue of coarse pictures */
  draftOf(title: string): string;
  frameOf(frame: number, of: number): string;
  /** said to every reader of a catalogue */
  cautions: readonly string[];
  /** who checks marks of fineness, and whom to ask */
  marks: Record<MarkedBy, string>;
  /** below a sheet of swatches, for those marked with an asterisk */
  unmeasured: string;
  /** beside the colour of a metal */
  notMeasured: string;
  wording: WordingMessages;
  proof: ProofMessages;
  bench: BenchMessages;
  ticket: TicketMessages;
  page: PageMessages;
  look: LookMessages;
  shaping: ShapingMessages;
  /** in the private folder: why it must stay there */
  privateNote: string;
  casterNote: CasterNote;
}

/** Descriptions for shops; figures come formatted. */
export interface WordingMessages {
  and(items: readonly string[]): string;
  renderings: string;
  /** ids begin with these colours; the word a buyer would use */
  colours: Record<MetalColourName, string>;
  title(metals: string, stones: string | undefined, width: string): string;
  /** title of a pair, from the looks of its bands: one if they look alike */
  pair(looks: readonly string[], bands: number): string;
  made(metals: string): string;
  atBack(top: string, back: string): string;
  /** of a band whose width changes round it */
  widths(least: string, most: string): string;
  measures(width: string, thickness: string, bore: string, grams: string): string;
  /** @param carats total of the row */
  stone(count: string, label: string, cut: string, size: string, carats: string): string;
  /** of stones that are set into the bore */
  inBore(stones: string): string;
  inFace(stones: string): string;
  by(length: string, width: string): string;
  /** @param tax rate and name */
  tax(included: boolean, tax: string): string;
  /** what the maker reads in the table of prices */
  metalCharged(mass: 'finished' | 'as-cast', lost: string | undefined): string;
  asked: string;
  work: Record<'making' | 'setting' | 'markup', string>;
  stones(rows: string, total: string, least: string, most: string, tolerance: string): string;
}

export type MetalColourName =
  | 'yellow'
  | 'rose'
  | 'green'
  | 'white'
  | 'silver'
  | 'black'
  | 'grey'
  | 'blue'
  | 'red'
  | 'brown'
  | 'ivory'
  | 'turquoise'
  | 'coral'
  | 'multicoloured';

/** Proofs: what a couple reads, ticks and signs. */
export interface ProofMessages {
  kind: string;
  title: string;
  titleOne: string;
  forWhom: string;
  /** to the couple, under their names */
  welcome(bands: number): string;
  /** over what wearers should know */
  care: string;
  order: string;
  issued: string;
  validUntil: string;
  delivery: string;
  /** amount that is paid with the order */
  deposit(share: string): string;
  terms: string;
  /** whether another size can be made of the band later */
  resizing: Record<'heading' | 'as-gold' | OtherSize, string>;
  /** headings of the two bands */
  band: readonly [string, string];
  /** in place of these where the order has a name for each */
  bandFor(name: string): string;
  onlyBand: string;
  size: string;
  madeAs(size: string): string;
  measured(how: string): string;
  inside: string;
  insideFigures(diameter: string, circumference: string): string;
  width: string;
  thickness: string;
  metal: string;
  stones: string;
  none: string;
  totalCarats(carats: string): string;
  mass: string;
  approximately(figure: string): string;
  beforePolishing: string;
  engraving: Record<'inside' | 'outside', string>;
  noEngraving: string;
  /** heads the drawings of letters */
  drawn: string;
  /** which view a drawing is; `scale` as in 2:1 */
  view(side: 'inside' | 'outside', scale: string): string;
  /** under pictures that were traced without an order's letters */
  otherLetters: string;
  article: string;
  price: string;
  total: string;
  taxIncluded(rate: string, name: string, amount: string): string;
  taxExcluded(rate: string, name: string): string;
  priceNote: string;
  notes: string;
  pictureNote: string;
  tickHeading: string;
  chooseOne: string;
  /** approval, or changes: one of them alone is ticked */
  decision: readonly [string, string];
  /** and these are ticked beside it */
  alsoTick: string;
  tickMeasured(bands: number): string;
  tickEngraving: string;
  /** heads the sizes and engravings above the signatures */
  summary: string;
  changes: string;
  date: string;
  signature: string;
  cautions: string;
  /** what wearers of rings should know; more of it for rings with stones */
  wearing: Record<'always' | 'stones' | 'claws' | 'cleaning', string>;
  /** said on every proof */
  smallPrint: readonly string[];
  /** the same of marks of fineness, for a couple */
  marks: Record<MarkedBy, string>;
  /** where it is answered on its page */
  signing: SigningMessages;
  draft: string;
}

/**
 * What the catalogue page says, with the amounts in braces; its client script is handed these as JSON, so all are plain
 * texts.
 */
export type PageMessages = Record<keyof typeof PAGE_ENGLISH, string>;

/** The same of the live view's page. */
export type LookMessages = Record<keyof typeof LOOK_ENGLISH, string>;
/** Where a band is shaped by hand. */
export type ShapingMessages = typeof SHAPING_ENGLISH;

/** Names of the trade's tables that the page knows beside them. */
export type PageNames = Record<`rule ${BenchRuleName}` | `cut ${CutName}`, string>;
