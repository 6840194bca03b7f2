/**
 * What passes between `bandwright look` and its pages. All of it is JSON but solids and skies, which are blobs.
 *
 * The server tells every page the state of the config (`LookState`, server-sent events); a page chooses what it shows
 * (`ViewChoice`) and asks for it (`LookView`); what is seen is traced in the page. Edits go back as `EditRequest`.
 */
import type { TakeLooks } from '../artefacts/film-scene.ts';
import type { BandFacts } from '../facts/catalogue-schema.ts';
import type { QualityPlan, ShapeKey, ShotName, ShotPlan } from '../plan/plan.ts';
import type { Problem } from '../problem.ts';
import type { Language } from '../trade/words.ts';

/** A file that decides what is looked at. */
export interface LookFile {
  /** as it is named in problems and origins */
  file: string;
  /** hash of its text; an edit says which text it was meant for */
  revision: string;
}

/** Everything that pages choose from, and what is wrong with the text that was saved last. */
export interface LookState {
  /** grows by one with every text that could be read and whenever problems change */
  version: number;
  title: string;
  language: Language;
  /** BCP 47, for figures */
  tag: string;
  readOnly: boolean;
  files: LookFile[];
  /** why the latest text isn't what is shown: the last good bands stay */
  problems: Problem[];
  warnings: Problem[];
  axes: { name: string; values: string[] }[];
  /** SKU and the label of each axis' value */
  bands: { sku: string; axes: Record<string, string> }[];
  /** SKU, and those of its bands */
  pairs: { sku: string; bands: string[] }[];
  /** `own`: the config has it */
  shots: { name: string; view: ShotName; lights: string; own: boolean }[];
  /** names of the studios that come along and those that the config names */
  studios: string[];
}

/** What a page shows in one picture. */
export interface ViewChoice {
  /** of a band or a pair */
  sku: string;
  shot: string;
  /** in place of the shot's */
  studio?: string;
}

/** One picture's worth: what to trace. */
export interface LookView {
  version: number;
  choice: ViewChoice;
  /** key of each band's solids */
  shapes: ShapeKey[];
  shot: ShotPlan;
  /** of all colourways of the take */
  looks: TakeLooks;
  /** the one that was chosen */
  colourway: number;
  /** hash of the sky's picture, if the studio has one */
  sky?: string;
  quality: QualityPlan;
  /** `make` traces this very take */
  asMade: boolean;
}

/** What is told of a band beside its picture. */
export interface LookBand {
  sku: string;
  /** what the page's own tables and lists show */
  facts: BandFacts;
  /** the catalogue is for people, the page for the maker: what each is warned of */
  cautions: string[];
  /** SVG of the section at the top */
  section: string;
  drawing: Drawing;
  fields: Field[];
}

/** Where a value is written, or would be. */
export interface Origin {
  file: string;
  /** 1 and up; of the key, or of the mapping that lacks it */
  line: number;
  column: number;
  /** keys from the root of that file */
  path: (string | number)[];
}

/** A measure, number, choice or text of the template that can be edited. */
export interface Field {
  /** keys as written in a template, joined by dots: `rows.crest.set-depth` */
  id: string;
  label: string;
  /** heading under which it stands */
  group: string;
  kind: 'measure' | 'number' | 'choice' | 'flag' | 'text';
  /** as written, or as it counts where nothing is written */
  text: string;
  unit?: string;
  least?: number;
  most?: number;
  step?: number;
  choices?: { value: string; label: string }[];
  /** the file holds it; else it is a default */
  written: boolean;
  origin: Origin;
}

/**
 * The band unrolled: shapes to scale in mm, x along the band from the back to the back, y across it from the first
 * edge. Lines are points `x,y` with spaces between them, as SVG has them.
 */
export interface Drawing {
  /** mm round the outside, and across where the band is widest */
  width: number;
  height: number;
  /** `metal`: which of the band’s metals */
  lanes: { name: string; metal: number; outline: string }[];
  seams: { name: string; line: string }[];
  /** facets' edges, rims of grooves and gaps */
  lines: string[];
  stones: { row: string; number: number; outline: string }[];
  /** claws, grains and beads */
  rounds: { kind: 'claw' | 'bead'; x: number; y: number; r: number }[];
  /** outlines of letters, as the `d` of an SVG path */
  letters: string;
  /** angles from the top along the band */
  scale: { x: number; label: string }[];
  handles: Handle[];
  /** checks that did not pass, at their places */
  checks: {
    rule: string;
    x: number;
    y: number;
    /** the same place on the band's outside, mm in its own frame */
    on: [number, number, number];
    state: 'note' | 'waived' | 'failed';
    label: string;
  }[];
  title: string;
  /** what is drawn, and how handles are moved */
  about: string;
  hint: string;
  /** why there are no handles */
  note?: string;
}

/** Something in the drawing that can be dragged, or moved with the arrow keys. */
export interface Handle {
  id: string;
  label: string;
  /** mm, where it stands */
  x: number;
  y: number;
  moves: 'x' | 'y' | 'xy';
  /** for screen readers: its value as text */
  text: string;
}

/**
 * The orders of a config as their file has them. Names, notes and letters in it are personal: they are told to the page
 * that asks and to nobody else.
 */
export interface LookOrders {
  /** absolute; where it would be as long as there is none */
  file: string;
  /** hash of its text, if there is one */
  revision?: string;
  /** why the file can't be read as orders */
  fault?: { line: number; received: string; advice: string };
  rows: {
    /** on which it begins */
    line: number;
    cells: Record<string, string>;
    /** as they are typed; none for an order that isn't sound */
    commands?: { draft: string; full: string };
  }[];
  /** all that a column can be */
  columns: string[];
  pairs: { sku: string; label: string }[];
  bands: { sku: string; label: string }[];
}

/** A run that makes the proof of an order. */
export interface ProofRun {
  /** number of the order */
  order: string;
  draft: boolean;
  state: 'running' | 'done' | 'failed' | 'stopped';
  step: 'begin' | 'solids' | 'pictures' | 'papers';
  /** of that step */
  done: number;
  of: number;
  /** what lies where, absolute; the page to read first */
  files: string[];
  /** what the run said of its failure */
  why: string;
}

export interface ProofRequest {
  /** on which the order begins */
  line: number;
  draft: boolean;
  /** of the table as the page has seen it */
  revision: string;
}

/** An edit as a page asks for it. */
export type AskedEdit =
  | { kind: 'field'; id: string; text: string }
  /** mm in the drawing, where a handle was let go */
  | { kind: 'handle'; id: string; x: number; y: number }
  /** an order's cells by column, those that change; without a line a new one */
  | { kind: 'order'; line?: number; cells: Record<string, string> }
  | { kind: 'no-order'; line: number }
  | { kind: 'undo' }
  | { kind: 'redo' };

export interface EditRequest {
  /** band whose field or handle it is */
  sku: string;
  /** of every file as the page has seen it: no edit goes over a text that changed underneath */
  files: LookFile[];
  change: AskedEdit;
}

export type EditAnswer = { done: true; origin?: Origin } | { done: false; problems: Problem[] };
