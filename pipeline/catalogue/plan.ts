import type { SizeSystemId } from '../trade/ring-size.ts';
import type { StoneOrigin } from '../trade/stones.ts';
import type { ShapeDesign } from './design.ts';

/** Ids refer to rows of the tables in `trade/`. */
export type AlloyId = string;
export type FinishId = string;
export type StoneId = string;

/** Alloy and finish of each lane and stone of each row, in the shape's order. */
export interface Dress {
  alloys: AlloyId[];
  finishes: FinishId[];
  stones: StoneId[];
}

/** One catalogue item. */
export interface Variant {
  sku: string;
  /** axis name → the label its value has in the catalogue, e.g. `{ size: 'ISO 54', metal: 'Yellow & white' }` */
  axes: Record<string, string>;
  /** axis name → short form fit for SKUs and file names */
  slugs: Record<string, string>;
  /** key of `Plan.shapes` */
  shape: string;
  dress: Dress;
  /** what the stone of each row was declared to be; says nothing about looks, so it is not part of the dress */
  origins: StoneOrigin[];
}

/** Two variants shown together; `right` is the partner's band. */
export interface Pair {
  sku: string;
  left: Variant;
  right: Variant;
}

export type ShotName = 'three-quarter' | 'front' | 'flat-lay' | 'pair';

/** Studio set-ups that `scene/` builds, by name. */
export const LIGHTS = ['soft-tent', 'side-window', 'edge-strips'] as const;
export type LightsName = (typeof LIGHTS)[number];

export interface ShotPlan {
  /** unique within a config, used in file names */
  name: string;
  view: ShotName;
  lights: LightsName;
  widthPx: number;
  heightPx: number;
}

/** One picture to write: a colourway of a take, for a variant or a pair. */
export interface PicturePlan {
  sku: string;
  shot: string;
}

/** One distinct assignment of colours within a take, and the pictures it serves. */
export interface ColourwayPlan {
  /** one dress per subject of the take */
  dresses: Dress[];
  pictures: PicturePlan[];
}

/** One tracing run: everything that decides paths. */
export interface TakePlan {
  /** readable and unique, e.g. `three-quarter/5f3a…` */
  id: string;
  shot: ShotPlan;
  /** one shape key, or two for a pair */
  shapes: string[];
  /** finish per lane, per subject */
  finishes: FinishId[][];
  /** optics id per row, per subject: stones with one id bend light alike and may share paths */
  optics: string[][];
  colourways: ColourwayPlan[];
}

export interface QualityPlan {
  /** relative standard error of a tile at which it stops */
  noise: number;
  passCap: number;
  seed: number;
}

export interface WatermarkPlan {
  /** absolute path of an SVG or PNG, or text */
  image?: string;
  text?: string;
  /** share of the picture's width */
  size: number;
  anchor:
    | 'top-left'
    | 'top'
    | 'top-right'
    | 'left'
    | 'centre'
    | 'right'
    | 'bottom-left'
    | 'bottom'
    | 'bottom-right';
  /** share of the picture's width */
  margin: number;
  opacity: number;
}

export interface ImageOutput {
  /** absent for the catalogue's own pictures; else files of their own with this in their names */
  name?: string;
  format: 'avif' | 'webp' | 'jpeg' | 'png';
  /** widths in pixels; the picture is never enlarged */
  widths: number[];
  /** 1–100; ignored for png */
  quality: number;
  /** false for none, or one of its own; the plan's if absent */
  watermark?: WatermarkPlan | false;
}

/** Codes of the IPTC's vocabulary of digital source types, cv.iptc.org/newscodes/digitalsourcetype. */
export type DigitalSource = 'digitalCreation' | 'algorithmicMedia';

/** Who made the pictures, as it is written into each file. */
export interface CreditPlan {
  creator?: string;
  copyright?: string;
  line?: string;
  website?: string;
  source: DigitalSource;
}

/** Name of the image output whose files go into the shop's feed. */
export const FEED = 'feed';

export interface ShopPlan {
  /** address at which the catalogue folder will stand; no feed without it */
  baseUrl?: string;
  /** address of a product's page, with {sku} */
  page?: string;
  /** the workshop if absent */
  brand?: string;
  /** ring sizes of the feed */
  sizeSystem: SizeSystemId;
}

export interface Plan {
  catalogue: string;
  title: string;
  /** workshop name printed in the catalogue */
  workshop: string;
  /** absolute path of the config and of every file that was read */
  configFile: string;
  files: string[];
  axes: { name: string; values: { label: string; slug: string }[] }[];
  shapes: Record<string, ShapeDesign>;
  variants: Variant[];
  pairs: Pair[];
  shots: ShotPlan[];
  takes: TakePlan[];
  quality: QualityPlan;
  watermark?: WatermarkPlan;
  credit: CreditPlan;
  shop?: ShopPlan;
  images: ImageOutput[];
  glb: boolean;
  swatches: boolean;
}
