import { colourwayLook } from '../facts/looks.ts';
import type { ColourwayLook } from '../model/look.ts';
import type { Plan, ShapeKey, Variant } from '../plan/plan.ts';
import type { CatalogueModel } from '../publish/catalogue.ts';
import { ArtefactLost, type ArtefactStore } from '../store/artefact-store.ts';
import type { ContentKey } from '../store/content-key.ts';
import { artefactKey } from '../store/content-key.ts';
import { bandsOfPlan } from './bands.ts';
import { grouped } from './grouped.ts';
import type { Kind, Making, Planning, Source } from './kind.ts';
import { geometryKeys, solidKey } from './solid.ts';

/** Libraries that take a tenth of a second to load, which most commands do without. */
const glb = () => import('../model/glb.ts');

export interface ModelWork {
  /** key of `Plan.shapes` */
  shape: ShapeKey;
  key: ContentKey;
  /** content key of its copy for the page's viewer, if that is another file */
  viewerKey?: ContentKey;
  /** one per dress that the shape's variants wear; the first variant's first */
  colourways: { name: string; variants: Variant[] }[];
}

/** One GLB per shape, holding every dress that any of its variants wears. */
export const MODEL: Kind<ModelWork> = {
  name: 'model',
  code: ['model/glb.ts'],
  shared: true,
  plan: planModels,
  skus: ({ colourways }) => colourways.flatMap((c) => c.variants.map((v) => v.sku)),
  uses: ({ key, viewerKey }) => [`model/${key}`, ...(viewerKey ? [`model/${viewerKey}` as const] : [])],
  // the viewer's copy is made when it is first published
  lacking: async ({ key }, { has }) => !(await has(`model/${key}`)),
  make: makeModel,
  costs: [{ name: 'model', guess: { seconds: 0.6, bytes: 0.8e6 }, copies: 2 + 4 / 3 }],
  tell: async (band, source) => {
    const told = modelOf(band, source);
    return told ? { model: told } : {};
  },
  publish: async (source) => ({ models: await catalogueModels(source) }),
};

function planModels(planning: Planning): ModelWork[] {
  const { plan, versions } = planning;
  if (!plan.glb) return [];
  const solids = geometryKeys(planning);
  const compression = plan.glbCompression;
  return [...dressesByShape(plan)].map(([shape, dresses]) => {
    const colourways = [...dresses.values()].map((variants) => ({
      name: colourwayName(variants[0]),
      variants,
    }));
    distinguish(colourways);
    const inputs = {
      solid: solids.get(shape),
      looks: looksOf(colourways),
      ...(compression ? { compression } : {}),
    };
    const key = artefactKey({ layer: 'model', engine: versions.model, ...inputs });
    const draco = compression === 'draco' ? { viewerKey: artefactKey({ layer: 'model', viewer: key }) } : {};
    return { shape, colourways, key, ...draco };
  });
}

/** shape → dress → those that wear it */
function dressesByShape(plan: Plan): Map<ShapeKey, Map<string, Variant[]>> {
  const byShape = new Map<ShapeKey, Map<string, Variant[]>>();
  for (const band of bandsOfPlan(plan)) {
    const dresses = byShape.get(band.shape) ?? new Map<string, Variant[]>();
    byShape.set(band.shape, dresses);
    const key = artefactKey(band.dress);
    const wearers = dresses.get(key) ?? [];
    dresses.set(key, wearers);
    if (!wearers.some((w) => w.sku === band.sku)) wearers.push(band);
  }
  return byShape;
}

function looksOf(colourways: ModelWork['colourways']): ColourwayLook[] {
  return colourways.map((c) => colourwayLook(c.name, c.variants[0].dress));
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

async function makeModel(model: ModelWork, { plan, bench, costs, store, report }: Making): Promise<void> {
  const shape = await bench.get(model.shape);
  if (!shape) return;
  const { buildGlb } = await glb();
  const bytes = await costs.timed('model', () =>
    buildGlb(shape, looksOf(model.colourways), plan.glbCompression),
  );
  await store.put('model', model.key, bytes);
  report({ event: 'model', model: modelFile(model), bytes: bytes.length });
}

/** File of a shape's model. Keyed by content, so a page never shows an old model under a new name. */
function modelFile(model: ModelWork): string {
  return `models/band-${model.key.slice(0, 12)}.glb`;
}

const byShape = ({ shape }: ModelWork) => [shape];

/** The model that a band is in, and its colourway there. */
export function colourwayOf(
  band: Variant,
  { pieces }: Pick<Source, 'pieces'>,
): { model: ModelWork; name: string } | undefined {
  for (const model of grouped(pieces(MODEL), byShape).get(band.shape) ?? []) {
    const colourway = model.colourways.find((c) => c.variants.some((v) => v.sku === band.sku));
    if (colourway) return { model, name: colourway.name };
  }
  return undefined;
}

function modelOf(band: Variant, source: Source): { file: string; variant: string } | undefined {
  const found = colourwayOf(band, source);
  return found && { file: modelFile(found.model), variant: found.name };
}

async function catalogueModels(source: Source): Promise<CatalogueModel[]> {
  const { store } = source;
  const models: CatalogueModel[] = [];
  for (const model of source.pieces(MODEL)) {
    const data = await store.get('model', model.key);
    if (!data) continue;
    const variants = model.colourways.map((c) => c.name);
    const viewer = () => viewerModel(store, model);
    models.push({ file: modelFile(model), shape: solidKey(model.shape, source), variants, data, viewer });
  }
  return models;
}

/**
 * A model as the page's viewer takes it. Draco's codec needs a second or so for each, so what came of it is kept; other
 * models are as the store has them.
 * @throws ArtefactLost if the model is no longer there
 */
export async function viewerModel(store: ArtefactStore, { key, viewerKey }: ModelWork): Promise<Uint8Array> {
  const kept = viewerKey && (await store.get('model', viewerKey));
  if (kept) return kept;
  const whole = await store.get('model', key);
  if (!whole) throw new ArtefactLost(`model ${key} left the store while it was being published`);
  if (!viewerKey) return whole;
  const { withoutDraco } = await glb();
  const made = await withoutDraco(whole);
  await store.put('model', viewerKey, made);
  return made;
}
