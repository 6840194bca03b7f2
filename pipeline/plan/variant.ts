import type { Branded } from '../branded.ts';
import type { BenchRuleName } from '../trade/bench-limits.ts';
import type { Treatment } from '../trade/declared-stone.ts';
import type { Pattern } from '../trade/matter.ts';
import type { StoneOrigin } from '../trade/stones.ts';
import type { EngravingsDesign } from './engraving-design.ts';
import type { Quantity } from './formula.ts';

/** What an item is called: one safe folder name, unique in its catalogue. `SkuRegister` gives it. */
export type Sku = Branded<'SKU'>;
/** Key of `Plan.shapes`: a hash of the design. */
export type ShapeKey = Branded<'shape'>;

/** Ids refer to rows of the tables in `trade/`. */
export type AlloyId = string;
export type FinishId = string;
export type StoneId = string;

/** Alloy and finish of each lane and stone of each sort of each row, in the shape's order. */
export interface Dress {
  alloys: AlloyId[];
  finishes: FinishId[];
  stones: StoneId[];
  /** solid pattern of each lane, null where its alloy is alike all through; absent where all are */
  patterns?: (Pattern | null)[];
}

/** A figure that a template lets be chosen, and what it was chosen to be. */
export interface ChosenFigure {
  name: string;
  value: Quantity;
  from: Quantity;
  to: Quantity;
}

/** One catalogue item. */
export interface Variant {
  sku: Sku;
  /** axis name → the label its value has in the catalogue, e.g. `{ size: 'ISO 54', metal: 'Yellow & white' }` */
  axes: Record<string, string>;
  /** axis name → short form fit for SKUs and file names */
  slugs: Record<string, string>;
  /** key of `Plan.shapes` */
  shape: ShapeKey;
  dress: Dress;
  /** what each stone of the dress was declared to be; says nothing about looks, so it is not part of the dress */
  origins: StoneOrigin[];
  /** what was declared to be done to each of them; an empty list for stones that need no word */
  treatments: Treatment[][];
  /** bench rule → why it may fail; absent if nothing is waived */
  waivers?: Partial<Record<BenchRuleName, string>>;
  /** what its template let be chosen within limits; absent if nothing */
  chosen?: ChosenFigure[];
  /** where an order's letters go that the design itself has none of; decides nothing that is made for the catalogue */
  letterPlaces?: EngravingsDesign;
}

/** Two variants shown together; `right` is the partner's band. A third may be worn with them, beyond the partner's. */
export interface Pair {
  sku: Sku;
  left: Variant;
  right: Variant;
  third?: Variant;
  /** the pair shot has them touch; absent where they stand apart */
  laid?: TouchingPair;
}

/** The two or three of them, as they lie side by side. */
export const bandsOfPair = ({ left, right, third }: Pick<Pair, 'left' | 'right' | 'third'>): Variant[] =>
  third ? [left, right, third] : [left, right];

/** Edge on edge, the left band's far edge against the partner's first: lying on each other, or standing on one axis. */
export type TouchingPair = 'stacked' | 'worn';
