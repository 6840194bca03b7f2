import type { BenchRuleName, LimitSettings } from '../trade/bench-limits.ts';
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
  /** bench rule → why it may fail; absent if nothing is waived */
  waivers?: Partial<Record<BenchRuleName, string>>;
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
  format: 'webp' | 'jpeg' | 'png';
  /** widths in pixels; the picture is never enlarged */
  widths: number[];
  /** 1–100; ignored for png */
  quality: number;
}

/** Files for the caster, and what they carry beyond the finished band; 0 is none. */
export interface CasterPlan {
  /** linear */
  shrinkage: number;
  polishMm: number;
  /** metal cast besides the part, as a share of its mass */
  sprue: number;
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
  images: ImageOutput[];
  glb: boolean;
  /** a bench sheet per band */
  sheets: boolean;
  /** absent unless files for the caster are wanted */
  caster?: CasterPlan;
  /** limits of bench rules that differ from the usual ones; they decide checks, not solids */
  limits: LimitSettings;
}
