import type { Branded } from '../branded.ts';
import type { LimitSettings } from '../trade/bench-limits.ts';
import type { SuppliedWeight } from '../trade/charted-weights.ts';
import type { Market } from '../trade/market.ts';
import type { LaneMatter } from '../trade/matter.ts';
import type { SizeSystemId } from '../trade/ring-size.ts';
import type { Language } from '../trade/words.ts';
import type { LetterheadPlan, PricePlan, ProofPlan } from './client-plan.ts';
import type { ShapeDesign } from './design.ts';
import type { ImageOutput, MovieOutput, WatermarkPlan } from './image-plan.ts';
import type { Aperture } from './measure.ts';
import type { GroundPlan, StudioPlan } from './studio.ts';
import type { Dress, FinishId, Pair, ShapeKey, Sku, TouchingPair, Variant } from './variant.ts';

export type { FramePlan, ImageOutput, MovieOutput, WatermarkPlan } from './image-plan.ts';
export type {
  AlloyId,
  Dress,
  FinishId,
  Pair,
  ShapeKey,
  Sku,
  StoneId,
  TouchingPair,
  Variant,
} from './variant.ts';

export type ShotName =
  | 'three-quarter'
  | 'front'
  | 'flat-lay'
  | 'profile'
  | 'macro'
  | 'inside'
  | 'turntable'
  | 'pair';

/** The largest band of a catalogue, each measure by itself: what a frame of one scale must hold. */
export interface LargestBand {
  innerDiameterMm: number;
  /** radial, with what stands proud of the band */
  thicknessMm: number;
  widthMm: number;
}

export interface ShotPlan {
  /** unique within a config, used in file names */
  name: string;
  view: ShotName;
  /** name of the studio in the config; says nothing about light, so it is not part of content keys */
  lights: string;
  studio: StudioPlan;
  ground: GroundPlan;
  widthPx: number;
  heightPx: number;
  /** opening of the lens; everything is sharp without */
  aperture?: Aperture;
  /** one scale for all pictures of the shot: the frame's width at the band, or the largest band that it must hold */
  scale?: { frameMm: number } | { largest: LargestBand };
  /** a pair whose bands touch */
  laid?: TouchingPair;
  /** one frame of a turntable: how far the band is turned, radians, and for people which of how many it is */
  turn?: { angle: number; frame: number; of: number };
}

/** One picture to write: a colourway of a take, for a variant or a pair. */
export interface PicturePlan {
  sku: Sku;
  shot: string;
}

/** One distinct assignment of colours within a take, and the pictures it serves. */
export interface ColourwayPlan {
  /** one dress per subject of the take */
  dresses: Dress[];
  pictures: PicturePlan[];
}

/** Readable and unique, e.g. `three-quarter/5f3a…`. */
export type TakeId = Branded<'take'>;

/** One tracing run: everything that decides paths. */
export interface TakePlan {
  id: TakeId;
  shot: ShotPlan;
  /** one shape key, or two for a pair */
  shapes: ShapeKey[];
  /** finish per lane, per subject */
  finishes: FinishId[][];
  /** optics id per sort of stone, per subject: stones with one id bend light alike and may share paths */
  optics: string[][];
  colourways: ColourwayPlan[];
  /** what lanes are made of, per subject, null for metal all through; absent where all are */
  matters?: (LaneMatter | null)[][];
  /** of a take with more colourways than one run can hold: which of how many parts this is */
  part?: { number: number; of: number };
  /** a close-up of metals for swatches, which no item shows: the first SKU that wears each colourway's metal */
  metals?: Sku[];
}

export interface QualityPlan {
  /** grain of a tile at which it stops, by `tracer/film-error.ts` */
  noise: number;
  passCap: number;
  seed: number;
  /** pictures come from films whose metal and ground are cleared of grain */
  filter: boolean;
  engine: EngineChoice;
}

/** What traces: the processor's cores, the graphics card, or whichever of them is faster on the machine. */
export const ENGINE_CHOICES = ['auto', 'cpu', 'gpu'] as const;
export type EngineChoice = (typeof ENGINE_CHOICES)[number];

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
  /** address for enquiries; {sku}, {title} and {link} stand for the choice */
  enquire?: string;
  /** the workshop if absent */
  brand?: string;
  /** ring sizes of the feed */
  sizeSystem: SizeSystemId;
  gender: 'unisex' | 'female' | 'male';
  /** number or path in the taxonomy of product data */
  category: number | string;
  /** SKUs are told as the maker's part numbers */
  partNumbers: boolean;
  availability?: 'in-stock' | 'out-of-stock' | 'preorder' | 'backorder';
  /** ISO 8601 date from which preordered and backordered bands are sent */
  availableFrom?: string;
}

/** Files for the caster, and what they carry beyond the finished band; 0 is none. */
export interface CasterPlan {
  /** linear */
  shrinkage: number;
  polishMm: number;
  /** metal cast besides the part, as a share of its mass */
  sprue: number;
  /** with stone lists in the catalogue's folder, for anyone to download; else in the private folder */
  publish?: true;
}

/** Which catalogue, for whom, and what it was read from. */
export interface PlanCatalogue {
  catalogue: string;
  title: string;
  /** workshop name printed in the catalogue */
  workshop: string;
  /** of all words beside the config's own */
  language: Language;
  market?: Market;
  /** absolute path of the config and of every file that was read */
  configFile: string;
  files: string[];
  /** the catalogue’s page shows bench checks; they are for the workshop, so it does not unless asked */
  pageChecks?: true;
  /** what lanes and rows are called for readers, by their names in the template */
  names?: Record<string, string>;
}

/** The bands: what varies, and what comes of it. */
export interface PlanGrid {
  axes: { name: string; values: { label: string; slug: string }[] }[];
  shapes: Record<ShapeKey, ShapeDesign>;
  variants: Variant[];
  pairs: Pair[];
}

/** What is traced, and which files come of it. */
export interface PlanPictures {
  shots: ShotPlan[];
  takes: TakePlan[];
  quality: QualityPlan;
  watermark?: WatermarkPlan;
  credit: CreditPlan;
  images: ImageOutput[];
  /** pattern of picture files' names without extension, see `file-pattern.ts`; the usual one if absent */
  filePattern?: string;
  swatches: boolean;
  /** of every turntable; none if absent */
  movies?: MovieOutput[];
  /** small and coarse: what its work costs says nothing of the real one's */
  draft?: true;
}

export interface PlanModels {
  glb: boolean;
  /** of models' meshes; meshopt if absent */
  glbCompression?: 'draco' | 'none';
  /** also a GLB for each band with its own colours alone */
  glbEach?: true;
  /** a USDZ for each band */
  usdz?: true;
  /** names of the shots whose pictures are laid beside drawings of the model */
  compare?: string[];
}

/** What clients are told and asked. */
export interface PlanClients {
  letterhead: LetterheadPlan;
  price?: PricePlan;
  proofs?: ProofPlan;
  shop?: ShopPlan;
}

/** What the jeweller's bench and the caster get, and how the bench judges. */
export interface PlanBench {
  /** limits of bench rules that differ from the usual ones; they decide checks, not solids */
  limits: LimitSettings;
  /** a supplier's own weights of stones, in place of the trade's */
  stoneWeights?: readonly SuppliedWeight[];
  /** what lists of stones say besides */
  ownBench?: { spares?: number; quality?: Partial<Record<string, string>> };
  /** a bench sheet per band */
  sheets: boolean;
  /** bench sheets lie in the catalogue's folder; else in the private folder */
  publishSheets?: true;
  /** absent unless files for the caster are wanted */
  caster?: CasterPlan;
}

/** All that a config asks for. Functions take the parts that they need. */
export interface Plan extends PlanCatalogue, PlanGrid, PlanPictures, PlanModels, PlanClients, PlanBench {}
