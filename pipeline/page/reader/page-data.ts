/**
 * What the writer hands to the catalogue's page. The grid needs little of each item and has it at once, inside
 * index.html; the rest lies in files of `page/` and is loaded with the first look at an item. A page opened from disk
 * may not fetch, so everything comes as scripts that put their content into one global shelf.
 */
import type { BandFacts, CatalogueEntry } from '../../facts/catalogue-schema.ts';
import type { PageMessages, PageNames } from '../../words/messages.ts';

/** One item as the grid, its filters, its orders and its search see it. */
export interface PageItem {
  sku: string;
  kind: CatalogueEntry['kind'];
  title: string;
  /** true size and stones, a line per band */
  lines: string[];
  /** axis name to label, per band */
  axes: Record<string, string>[];
  /** further words by which it is found */
  words: string;
  /** circumference of the (first) band's bore, mm */
  sizeMm: number;
  widthMm: number;
  massG: number;
  carats: number;
  /** what it costs, in the catalogue's one currency */
  price?: number;
  alt: string;
  thumbnail?: { file: string; width: number; height: number };
  /** the largest picture of the first shot */
  large?: string;
  /** number of the shape of each band: items of equal shapes are colourways of one band */
  shapes: number[];
  /** name of a variant's colourway in its model */
  colourway?: string;
  /** file of `page/` with the rest */
  part: string;
}

export interface PageIndex {
  /** BCP 47 */
  language: string;
  /** lengths in inches stand beside the millimetres */
  inches?: boolean;
  messages: PageMessages & PageNames;
  /** axes on which items differ, with the values that occur */
  axes: { name: string; values: string[] }[];
  items: PageItem[];
}

type Lean<T> = T extends (infer U)[]
  ? Lean<U>[]
  : T extends object
    ? { [K in keyof T as Exclude<K, 'sha256'>]: Lean<T[K]> }
    : T;

/** All of an item, without the hashes of its files. */
export type ItemDetail = Lean<Omit<CatalogueEntry, 'keys' | 'versions' | 'bands'>> & {
  bands: DetailBand[];
  /** swatches of this colourway, and the sheet of all */
  swatches: { shot: string; file: string; bytes: number; sheet: string; sheetBytes: number }[];
  /** bytes of each model file */
  models: Record<string, number>;
};

/** Bench checks come only where the maker wants them told, and without their sources. */
export type DetailBand = Lean<Omit<BandFacts, 'checks' | 'failedChecks' | 'heldBack'>> & {
  checks?: Omit<BandFacts['checks'][number], 'source'>[];
  /** not offered: a bench error stands */
  held?: true;
};
export type DetailShot = ItemDetail['shots'][number];
export type DetailPicture = DetailShot['pictures'][number];

/** Models, in base64, lie beside the GLB under this name. */
export const modelScript = (file: string) => `${file}.js`;
export const VIEWER_SCRIPT = 'page/viewer.js';
/** The shelf's name in the page: file path to content. */
export const SHELF = 'cataloguePage';
