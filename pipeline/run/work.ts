import { BORE_FINISH, colourwayLook, finishSurface, gemOptics, subjectColours } from '../facts/looks.ts';
import type { Plan, ShotName, ShotPlan, TakePlan, Variant, WatermarkPlan } from '../plan/plan.ts';
import { artefactKey } from '../store/content-key.ts';
import { type ComparisonWork, planComparisons } from './comparing.ts';
import { type OwnModelWork, planOwnModels, planUsd, type UsdWork } from './own-models.ts';
import { type PictureWords, pictureWords } from './picture-words.ts';
import { planSheets, type SheetWork } from './swatch-work.ts';
import type { Layer } from './version.ts';

/** Everything that can decide a take's films, apart, so that a rerun can say which of them changed. */
export interface TakeInputs {
  solids: string;
  shot: string;
  finishes: string;
  colours: string;
  quality: string;
  engine: string;
}

export interface TakeWork {
  take: TakePlan;
  /** noise target; above the plan's where a deadline lowered quality */
  noise: number;
  inputs: TakeInputs;
  /** content key of the take's record: error and passes reached */
  record: string;
  /** content key of each colourway's film */
  films: string[];
  /** content key of the matte of a take on clear ground */
  matte?: string;
  pictures: PictureWork[];
}

/** The files of one picture. Colourways are shared by SKUs that look alike; their pictures only if words agree too. */
export interface PictureWork {
  /** content key of the files */
  key: string;
  /** index into the take's colourways */
  colourway: number;
  skus: string[];
  /** what it shows, as written into the files */
  title: string;
  alt: string;
}

export interface ModelWork {
  /** key of `Plan.shapes` */
  shape: string;
  key: string;
  /** content key of its copy for the page's viewer, if that is another file */
  viewerKey?: string;
  /** one per dress that the shape's variants wear; the first variant's first */
  colourways: { name: string; variants: Variant[] }[];
}

/** Files for the caster: all lanes of one alloy in a shape. */
export interface PartWork {
  shape: string;
  alloy: string;
  /** indices in the shape's order */
  lanes: number[];
  key: string;
  /** bands that have this part */
  skus: string[];
}

/** A plan with the content key of everything it asks for. */
export interface Work {
  plan: Plan;
  /** shape → content key of its solids' facts, checks included */
  solids: Record<string, string>;
  takes: TakeWork[];
  models: ModelWork[];
  parts: PartWork[];
  /** meshes for USDZ */
  usd: UsdWork[];
  /** models of one band alone */
  ownModels: OwnModelWork[];
  /** swatch sheets */
  swatches: SheetWork[];
  /** traced pictures beside their models */
  comparisons: ComparisonWork[];
}

/** Settings of one run that decide content. */
export interface WorkOptions {
  versions: Record<Layer, string>;
  /** hash of each logo file, by its path */
  logos: ReadonlyMap<string, string>;
  pictureVersion: string;
  /** on every take's noise target; 1 unless given */
  noiseFactor?: number;
}

/**
 * Works out every content key without building anything: keys come from inputs and versions of the code alone,
 * so asking what is cached costs milliseconds.
 */
export function planWork(plan: Plan, options: WorkOptions): Work {
  const { versions } = options;
  const geometry: Record<string, string> = {};
  const solids: Record<string, string> = {};
  for (const [key, design] of Object.entries(plan.shapes)) {
    geometry[key] = artefactKey({ layer: 'solid', engine: versions.solid, design });
    // limits decide checks and nothing that is traced or modelled
    solids[key] = artefactKey({ layer: 'solid', engine: versions.solid, design, limits: plan.limits });
  }
  const words = pictureWords(plan);
  const takes = plan.takes.map((take) => takeWork(take, plan, geometry, options, words));
  const swatches = planSheets(plan, takes, [versions.picture, options.pictureVersion]);
  const models = plan.glb ? planModels(plan, geometry, versions.model) : [];
  const usd = planUsd(plan, bandsOf(plan), geometry, versions.model);
  return {
    plan,
    solids,
    takes,
    swatches,
    comparisons: planComparisons(plan, takes, models, [versions.picture, versions.comparison]),
    models,
    usd,
    ownModels: planOwnModels(plan, bandsOf(plan), models, usd),
    parts: planParts(plan, geometry, versions.part),
  };
}

function takeWork(
  take: TakePlan,
  plan: Plan,
  solids: Record<string, string>,
  options: WorkOptions,
  words: (sku: string, view: ShotName) => PictureWords,
): TakeWork {
  const { versions } = options;
  const noise = plan.quality.noise * (options.noiseFactor ?? 1);
  const inputs: TakeInputs = {
    solids: artefactKey(take.shapes.map((s) => solids[s])),
    shot: artefactKey(shotInputs(take.shot)),
    finishes: artefactKey({
      finishes: take.finishes.map((f) => f.map(finishSurface)),
      bore: finishSurface(BORE_FINISH),
      optics: take.optics.map((o) => o.map(gemOptics)),
    }),
    colours: artefactKey(take.colourways.map((c) => c.dresses.map(subjectColours))),
    quality: artefactKey({ ...plan.quality, noise }),
    engine: versions.film,
  };
  // Colourways share paths, roulette and stop rule, so a film belongs to its whole take and not to its colours alone.
  const films = take.colourways.map((_, i) => artefactKey({ layer: 'film', inputs, colourway: i }));
  const pictures = take.colourways.flatMap((c, colourway) => {
    const groups = new Map<string, PictureWork>();
    for (const { sku } of c.pictures) {
      const { title, alt } = words(sku, take.shot.view);
      const key = pictureKey(films[colourway], plan, { title, alt }, options);
      const picture = groups.get(key) ?? { key, colourway, skus: [], title, alt };
      groups.set(key, picture);
      picture.skus.push(sku);
    }
    return [...groups.values()];
  });
  const record = artefactKey({ layer: 'film', inputs, record: 1 });
  const clear = take.shot.ground.kind === 'clear';
  const matte = clear ? { matte: artefactKey({ layer: 'film', inputs, matte: 1 }) } : {};
  return { take, noise, inputs, record, films, ...matte, pictures };
}

/** What of a shot decides its films: not its name, nor its studio's, nor where the
 * picture of a sky lies, nor how many frames a turntable has. */
function shotInputs({ name: _, lights: __, turn, studio, ...shot }: ShotPlan): object {
  const sky = studio.sky && { ...studio.sky, file: undefined };
  return { ...shot, studio: { ...studio, sky }, turn: turn?.angle };
}

/** Everything that decides the bytes of a picture's files beside its film. */
function pictureKey(
  film: string,
  { images, watermark, credit }: Plan,
  words: PictureWords,
  { versions, pictureVersion, logos }: WorkOptions,
): string {
  const mark = (w: WatermarkPlan | false | undefined) => w && { ...w, image: w.image && logos.get(w.image) };
  return artefactKey({
    layer: 'picture',
    engine: [versions.picture, pictureVersion],
    film,
    images: images.map((i) => ({ ...i, watermark: mark(i.watermark) })),
    watermark: mark(watermark),
    words,
    credit,
  });
}

/** One model per shape, holding every dress that any of its variants wears. */
function planModels(plan: Plan, solids: Record<string, string>, engine: string): ModelWork[] {
  const byShape = new Map<string, Map<string, Variant[]>>();
  for (const band of bandsOf(plan)) {
    const dresses = byShape.get(band.shape) ?? new Map<string, Variant[]>();
    byShape.set(band.shape, dresses);
    const key = artefactKey(band.dress);
    const wearers = dresses.get(key) ?? [];
    dresses.set(key, wearers);
    if (!wearers.some((w) => w.sku === band.sku)) wearers.push(band);
  }
  return [...byShape].map(([shape, dresses]) => {
    const colourways = [...dresses.values()].map((variants) => ({
      name: colourwayName(variants[0]),
      variants,
    }));
    distinguish(colourways);
    const looks = colourways.map((c) => colourwayLook(c.name, c.variants[0].dress));
    const compression = plan.glbCompression;
    const inputs = { solid: solids[shape], looks, ...(compression ? { compression } : {}) };
    const key = artefactKey({ layer: 'model', engine, ...inputs });
    const draco = compression === 'draco' ? { viewerKey: artefactKey({ layer: 'model', viewer: key }) } : {};
    return { shape, colourways, key, ...draco };
  });
}

/** Lanes of a dress by alloy, in the order in which alloys first appear. */
export function lanesByAlloy(alloys: readonly string[]): Map<string, number[]> {
  const lanes = new Map<string, number[]>();
  alloys.forEach((alloy, i) => {
    lanes.set(alloy, [...(lanes.get(alloy) ?? []), i]);
  });
  return lanes;
}

/** A part is shared by all bands of one shape that have the same lanes in the same alloy. */
function planParts(plan: Plan, geometry: Record<string, string>, engine: string): PartWork[] {
  if (!plan.caster) return [];
  const { shrinkage, polishMm } = plan.caster;
  const parts = new Map<string, PartWork>();
  for (const band of bandsOf(plan)) {
    for (const [alloy, lanes] of lanesByAlloy(band.dress.alloys)) {
      const solid = geometry[band.shape];
      const key = artefactKey({ layer: 'part', engine, solid, alloy, lanes, shrinkage, polishMm });
      const part = parts.get(key) ?? { shape: band.shape, alloy, lanes, key, skus: [] };
      if (!part.skus.includes(band.sku)) part.skus.push(band.sku);
      parts.set(key, part);
    }
  }
  return [...parts.values()];
}

/** Every band of a plan: variants, and both of each pair. */
function bandsOf(plan: Plan): Variant[] {
  return [...plan.variants, ...plan.pairs.flatMap((p) => [p.left, p.right])];
}

/** Colourways are named by the axes that colour: everything but size and width, which make other shapes. */
function colourwayName(band: Variant): string {
  const parts = Object.entries(band.slugs)
    .filter(([axis]) => axis !== 'size' && axis !== 'width')
    .map(([, slug]) => slug);
  return (parts.length > 0 ? parts.join('-') : band.dress.alloys.join('-')).toLowerCase();
}

function distinguish(colourways: { name: string }[]): void {
  const seen = new Map<string, number>();
  for (const c of colourways) {
    const n = (seen.get(c.name) ?? 0) + 1;
    seen.set(c.name, n);
    if (n > 1) c.name = `${c.name}-${n}`;
  }
}

/** SKUs that a take is made for: those of its pictures, or those that wear the metals it shows. */
export function skusOfTake({ take }: TakeWork): string[] {
  return [...new Set(take.metals ?? take.colourways.flatMap((c) => c.pictures.map((p) => p.sku)))];
}
