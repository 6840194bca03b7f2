/** Models of one band alone: its colours of the shape's GLB, and USDZ. Both are made from what its shape's bands share. */

import type { BandFacts } from '../facts/catalogue-schema.ts';
import { colourwayLook } from '../facts/looks.ts';
import { variantName } from '../model/names.ts';
import { singleGlb } from '../model/single-glb.ts';
import type { Plan, Variant } from '../plan/plan.ts';
import type { KeyedFile } from '../publish/catalogue.ts';
import { ArtefactLost, type ArtefactStore } from '../store/artefact-store.ts';
import type { ContentKey } from '../store/content-key.ts';
import { artefactKey, sha256 } from '../store/content-key.ts';
import { distinctBands } from './bands.ts';
import { grouped } from './grouped.ts';
import type { Kind, Making, Planning, Source } from './kind.ts';
import { colourwayOf } from './model.ts';
import { USD_MESHES } from './usd-meshes.ts';

export interface SingleModelWork {
  format: 'glb' | 'usdz';
  band: Variant;
  /** content key of the record of its bytes and hash; the file itself is not kept twice */
  key: ContentKey;
  /** content key of what it is made from: the GLB of all colourways, or the meshes for USDZ */
  source: ContentKey;
  /** colourway's name in the GLB of all */
  colourway?: string;
}

interface SingleModelRecord {
  bytes: number;
  sha256: string;
}

const only = (format: string) => (piece: SingleModelWork) => Number(piece.format === format);

export const SINGLE_MODEL: Kind<SingleModelWork> = {
  name: 'single-model',
  code: ['model/single-glb.ts', 'model/usdz.ts'],
  plan: planSingleModels,
  skus: ({ band }) => [band.sku],
  uses: ({ key }) => [`model/${key}`],
  make: recordSingleModel,
  costs: [
    {
      name: 'own-glb',
      label: 'GLB of one band',
      guess: { seconds: 0.03, bytes: 0.75e6 },
      copies: 1,
      count: only('glb'),
    },
    {
      name: 'own-usdz',
      label: 'USDZ of one band',
      guess: { seconds: 0.2, bytes: 4.5e6 },
      copies: 1,
      count: only('usdz'),
    },
  ],
  tell: async (band, source) => {
    const ownModels = await singleModelFacts(band, source);
    return ownModels.length > 0 ? { ownModels } : {};
  },
  publish: async (source) => ({ keyed: await singleModelFiles(source) }),
};

function planSingleModels(planning: Planning): SingleModelWork[] {
  const { plan, versions, pieces } = planning;
  const engine = versions['single-model'];
  const meshes = new Map(pieces(USD_MESHES).map((u) => [u.shape, u.key]));
  return distinctBands(plan).flatMap((band) => {
    const own: SingleModelWork[] = [];
    const found = plan.glbEach ? colourwayOf(band, planning) : undefined;
    if (found) {
      const inputs = { source: found.model.key, colourway: found.name };
      const key = artefactKey({ layer: 'model', engine, own: 'glb', ...inputs });
      own.push({ format: 'glb', band, key, ...inputs });
    }
    const source = meshes.get(band.shape);
    if (source !== undefined) {
      const inputs = { look: colourwayLook('', band.dress), title: titleIn(plan, band) };
      const key = artefactKey({ layer: 'model', engine, own: 'usdz', source, ...inputs });
      own.push({ format: 'usdz', band, key, source });
    }
    return own;
  });
}

const titleIn = ({ title }: Plan, { sku }: Variant) => `${title}, ${sku}`;

/** Works out its bytes and hash, so that publishing need not, if what it is made from is there. */
async function recordSingleModel(work: SingleModelWork, { plan, store, costs }: Making): Promise<void> {
  const data = await costs.timed(`own-${work.format}`, () => singleModelBytes(work, plan, sourceOf(store)));
  if (!data) return;
  const record: SingleModelRecord = { bytes: data.length, sha256: sha256(data) };
  await store.put('model', work.key, Buffer.from(JSON.stringify(record)));
}

const bySku = ({ band }: SingleModelWork) => [band.sku];

async function singleModelFacts(
  { sku }: Variant,
  source: Source,
): Promise<NonNullable<BandFacts['ownModels']>> {
  const facts: NonNullable<BandFacts['ownModels']> = [];
  for (const work of grouped(source.pieces(SINGLE_MODEL), bySku).get(sku) ?? []) {
    const record = await readRecord(work, source);
    if (record) facts.push({ format: work.format, file: fileOf(work), ...record });
  }
  return facts;
}

/** Files of all that the store has; their bytes are made when they must be written. */
async function singleModelFiles(source: Source): Promise<KeyedFile[]> {
  const { plan, store } = source;
  const files: KeyedFile[] = [];
  for (const work of source.pieces(SINGLE_MODEL)) {
    const record = await readRecord(work, source);
    if (!record) continue;
    const data = async () => {
      const bytes = await singleModelBytes(work, plan, sourceOf(store));
      if (!bytes) throw new ArtefactLost(`model ${work.source} left the store while it was being published`);
      return bytes;
    };
    files.push({ file: fileOf(work), ...record, data });
  }
  return files;
}

const fileOf = ({ band, key, format }: SingleModelWork) =>
  `models/each/${band.sku}-${key.slice(0, 10)}.${format}`;

function readRecord({ key }: SingleModelWork, { records }: Source): Promise<SingleModelRecord | undefined> {
  return records.get('model', key, (bytes) => JSON.parse(Buffer.from(bytes).toString()));
}

type SourceReader = (key: ContentKey) => Promise<Uint8Array | undefined>;

const LAST = new WeakMap<ArtefactStore, { key: ContentKey; bytes: Uint8Array }>();

/** Bands of one shape follow each other: the source read last is kept. */
function sourceOf(store: ArtefactStore): SourceReader {
  return async (key) => {
    const last = LAST.get(store);
    if (last?.key === key) return last.bytes;
    const bytes = await store.get('model', key);
    if (bytes) LAST.set(store, { key, bytes });
    return bytes;
  };
}

async function singleModelBytes(
  { format, source, colourway, band }: SingleModelWork,
  plan: Plan,
  read: SourceReader,
): Promise<Uint8Array | undefined> {
  const bytes = await read(source);
  if (!bytes) return undefined;
  if (format === 'glb') return singleGlb(bytes, variantName(colourway ?? ''));
  const [{ buildUsdz }, { decodeUsdGeometry }] = await Promise.all([
    import('../model/usdz.ts'),
    import('../model/usd-geometry.ts'),
  ]);
  return buildUsdz(decodeUsdGeometry(bytes), colourwayLook('', band.dress), titleIn(plan, band));
}
