/** Models of one band alone: its colours of the shape's GLB, and USDZ. Both are made from what its shape's bands share. */

import type { BandFacts } from '../facts/catalogue-schema.ts';
import { colourwayLook } from '../facts/looks.ts';
import { variantName } from '../model/materials.ts';
import { singleGlb } from '../model/single-glb.ts';
import { decodeUsdGeometry, encodeUsdGeometry, usdGeometry } from '../model/usd-geometry.ts';
import { buildUsdz } from '../model/usdz.ts';
import type { Plan, Variant } from '../plan/plan.ts';
import type { KeyedFile } from '../publish/catalogue.ts';
import { ArtefactLost, type ArtefactStore } from '../store/artefact-store.ts';
import { artefactKey, sha256 } from '../store/content-key.ts';
import type { ItemSource } from './items.ts';
import type { Job } from './job.ts';
import type { Survey } from './survey.ts';
import type { ModelWork } from './work.ts';

/** A shape's meshes for USDZ, without colours. */
export interface UsdWork {
  shape: string;
  key: string;
}

export interface OwnModelWork {
  format: 'glb' | 'usdz';
  band: Variant;
  /** content key of the record of its bytes and hash; the file itself is not kept twice */
  key: string;
  /** content key of what it is made from: the GLB of all colourways, or the meshes for USDZ */
  source: string;
  /** colourway's name in the GLB of all */
  colourway?: string;
}

interface OwnModelRecord {
  bytes: number;
  sha256: string;
}

export function planUsd(
  { usdz }: Plan,
  bands: readonly Variant[],
  geometry: Readonly<Record<string, string>>,
  engine: string,
): UsdWork[] {
  if (!usdz) return [];
  return [...new Set(bands.map((b) => b.shape))].map((shape) => ({
    shape,
    key: artefactKey({ layer: 'model', engine, solid: geometry[shape], usd: 1 }),
  }));
}

export function planOwnModels(
  plan: Plan,
  bands: readonly Variant[],
  models: readonly ModelWork[],
  usd: readonly UsdWork[],
): OwnModelWork[] {
  const own: OwnModelWork[] = [];
  for (const band of new Map(bands.map((b) => [b.sku, b])).values()) {
    const model = plan.glbEach ? models.find((m) => m.shape === band.shape) : undefined;
    const colourway = model?.colourways.find((c) => c.variants.some((v) => v.sku === band.sku))?.name;
    if (model && colourway !== undefined) {
      const key = artefactKey({ layer: 'model', own: 'glb', source: model.key, colourway });
      own.push({ format: 'glb', band, key, source: model.key, colourway });
    }
    const source = usd.find((u) => u.shape === band.shape)?.key;
    if (source !== undefined) {
      const inputs = { look: colourwayLook('', band.dress), title: titleIn(plan, band) };
      own.push({
        format: 'usdz',
        band,
        key: artefactKey({ layer: 'model', own: 'usdz', source, ...inputs }),
        source,
      });
    }
  }
  return own;
}

const titleIn = ({ title }: Plan, { sku }: Variant) => `${title}, ${sku}`;

/** Meshes for USDZ of the shapes whose are missing. */
export async function makeUsd(job: Job, survey: Survey): Promise<void> {
  const { plan, ownModels } = job.place.work;
  for (const { shape: key, key: source } of survey.usd) {
    job.options.signal.throwIfAborted();
    const wearers = ownModels.filter((m) => m.source === source).map((m) => m.band.sku);
    if (!wearers.some((sku) => job.wanted(sku) || job.wantedInPair(sku))) continue;
    const shape = await job.bench.get(key);
    if (!shape) continue;
    const make = async () => encodeUsdGeometry(await usdGeometry(shape));
    const bytes = await job.place.costs.timed('usdz', make);
    await job.place.store.put('model', source, bytes);
    job.options.report({ event: 'model', model: `${plan.title}, meshes for USDZ`, bytes: bytes.length });
  }
}

/** Works out bytes and hash of every band's own models whose source is there, so that publishing need not. */
export async function recordOwnModels(job: Job): Promise<void> {
  const { work, store, costs } = job.place;
  const read = sourceReader(store);
  for (const own of work.ownModels) {
    job.options.signal.throwIfAborted();
    if (await store.has('model', own.key)) continue;
    const data = await costs.timed(`own-${own.format}`, () => ownModelBytes(own, work.plan, read));
    if (!data) continue;
    const record: OwnModelRecord = { bytes: data.length, sha256: sha256(data) };
    await store.put('model', own.key, Buffer.from(JSON.stringify(record)));
  }
}

/** What the catalogue tells of a band's own models, those that are in the store. */
export async function ownModelFacts(
  { sku }: Variant,
  { work, store }: Pick<ItemSource, 'work' | 'store'>,
): Promise<BandFacts['ownModels']> {
  const facts: NonNullable<BandFacts['ownModels']> = [];
  for (const own of work.ownModels.filter((m) => m.band.sku === sku)) {
    const record = await readRecord(own, store);
    if (record) facts.push({ format: own.format, file: ownModelFile(own), ...record });
  }
  return facts.length > 0 ? facts : undefined;
}

/** Files of all own models of the catalogue; their bytes are made when they must be written. */
export async function catalogueOwnModels({ work, store }: ItemSource): Promise<KeyedFile[]> {
  const read = sourceReader(store);
  const files: KeyedFile[] = [];
  for (const own of work.ownModels) {
    const record = await readRecord(own, store);
    if (!record) continue;
    const data = async () => {
      const bytes = await ownModelBytes(own, work.plan, read);
      if (!bytes) throw new ArtefactLost(`model ${own.source} left the store while it was being published`);
      return bytes;
    };
    files.push({ file: ownModelFile(own), ...record, data });
  }
  return files;
}

const ownModelFile = ({ band, key, format }: OwnModelWork) =>
  `models/each/${band.sku}-${key.slice(0, 10)}.${format}`;

async function readRecord({ key }: OwnModelWork, store: ArtefactStore): Promise<OwnModelRecord | undefined> {
  const bytes = await store.get('model', key);
  return bytes && JSON.parse(Buffer.from(bytes).toString());
}

type SourceReader = (key: string) => Promise<Uint8Array | undefined>;

/** Bands of one shape follow each other: the source read last is kept. */
function sourceReader(store: ArtefactStore): SourceReader {
  let last: { key: string; bytes: Uint8Array | undefined } | undefined;
  return async (key) => {
    if (last?.key !== key) last = { key, bytes: await store.get('model', key) };
    return last.bytes;
  };
}

async function ownModelBytes(
  { format, source, colourway, band }: OwnModelWork,
  plan: Plan,
  read: SourceReader,
): Promise<Uint8Array | undefined> {
  const bytes = await read(source);
  if (!bytes) return undefined;
  return format === 'glb'
    ? singleGlb(bytes, variantName(colourway ?? ''))
    : buildUsdz(decodeUsdGeometry(bytes), colourwayLook('', band.dress), titleIn(plan, band));
}
