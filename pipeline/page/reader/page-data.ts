/**
 * What the writer hands to the catalogue's page. The grid needs little of each item and has it at once, inside
 * index.html; the rest lies in files of `page/` and is loaded with the first look at an item. A page opened from disk
 * may not fetch, so everything comes as scripts that put their content into one global shelf.
 */
import type { BandFacts, Catalogue, CatalogueEntry } from '../../facts/catalogue-schema.ts';
import type { PageMessages, PageNames } from '../../words/messages.ts';

/** One item as the grid, its filters, its orders and its search see it. */
export interface PageItem {
  sku: string;
  kind: CatalogueEntry['kind'];
  /** of a pair: its name in the config */
  pair?: string;
  title: string;
  /** true size and stones, a line per band */
  lines: string[];
  /** axis name to label, per band */
  axes: Record<string, string>[];
  /** further words by which it is found */
  words: string[];
  /** circumference of the (first) band's bore, mm */
  sizeMm: number;
  widthMm: number;
  massG: number;
  carats: number;
  /** what it costs, in the catalogue's one currency */
  price?: number;
  /** not offered: a bench error stands */
  held?: true;
  alt: string;
  /** the first shot, narrowest file first */
  faces: { file: string; width: number; height: number }[];
  /** of each of these, see `stamp` */
  stamps: string[];
  /** number of the shape of each band: items of equal shapes are colourways of one band */
  shapes: number[];
  /** name of a variant's colourway in its model */
  colourway?: string;
  /** file of `page/` with the rest */
  part: string;
}

export interface PageIndex {
  /** name of the catalogue, under which a browser keeps favourites */
  catalogue: string;
  /** BCP 47 */
  language: string;
  /** lengths in inches stand beside the millimetres */
  inches?: boolean;
  messages: PageMessages & PageNames;
  /** axes on which items differ, with the values that occur */
  axes: { name: string; values: string[] }[];
  /** colours of the alloys of each value of the metal axis, as sRGB codes */
  metals: Record<string, string[]>;
  /** ISO 4217, of all prices */
  currency?: string;
  /** where a choice can be asked for or bought */
  shop?: NonNullable<Catalogue['shop']>;
  items: PageItem[];
}

/** What index.html holds itself: the items come right after the first view, in a file of their own. */
export type PageStart = Omit<PageIndex, 'items'>;
export const CHOICES_SCRIPT = 'page/choices.js';

/** A file's content in its address, so that what a cache keeps is never another picture. */
export const stamp = (sha256: string) => sha256.slice(0, 8);

/** Of a file's hash a reader needs no more than tells two of its contents apart (`v`). */
type Lean<T> = T extends (infer U)[]
  ? Lean<U>[]
  : T extends { sha256: string }
    ? { [K in keyof T as Exclude<K, 'sha256'>]: Lean<T[K]> } & { v?: string }
    : T extends object
      ? { [K in keyof T]: Lean<T[K]> }
      : T;

/** All of an item; of the hashes of its files their stamps. */
export type ItemDetail = Lean<Omit<CatalogueEntry, 'keys' | 'versions' | 'bands'>> & {
  bands: DetailBand[];
  /** swatches of this colourway, and the sheet of all */
  swatches: { shot: string; file: string; bytes: number; sheet: string; sheetBytes: number }[];
  /** bytes of each model file */
  models: Record<string, number>;
  /** films of its turntables */
  movies: {
    shot: string;
    title: string;
    file: string;
    v?: string;
    format: string;
    width: number;
    height: number;
    bytes: number;
  }[];
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
