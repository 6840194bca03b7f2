/** Traced pictures beside the GLB of the same band, drawn from the same place under what light can be given to it. */
import { Matrix4 } from 'three';
import { lowestPoint } from '../model/glb.ts';
import { variantName } from '../model/materials.ts';
import type { Still, StillOrder } from '../page/reader/still.ts';
import { stillCode } from '../page/still-code.ts';
import { compareFilms, type FilmComparison } from '../picture/comparison.ts';
import type { Plan } from '../plan/plan.ts';
import { ProblemError } from '../problem.ts';
import type { CatalogueComparison } from '../publish/catalogue.ts';
import { WHITE_LEVEL } from '../scene/ground.ts';
import { studioMap } from '../scene/studio-map.ts';
import { composeShot } from '../scene/view.ts';
import type { ArtefactStore } from '../store/artefact-store.ts';
import { artefactKey } from '../store/content-key.ts';
import type { Film } from '../tracer/tracer.ts';
import { messagesOf } from '../words/locale.ts';
import type { ItemSource } from './items.ts';
import type { Job } from './job.ts';
import { subjectsOf, titleOf } from './subject.ts';
import { takeName } from './survey.ts';
import { loadFilm, loadSky, takeScene } from './take-run.ts';
import { viewerModel } from './viewer-models.ts';
import type { ModelWork, TakeWork } from './work.ts';

/** One colourway of a take and of the shape's model. */
export interface ComparisonWork {
  /** content key of its figures and picture */
  key: string;
  take: TakeWork;
  /** index into the take's colourways */
  colourway: number;
  skus: string[];
  model: ModelWork;
  /** the colourway's name in the model's file */
  variant: string;
}

/** Drawings are made in software: larger ones take longer and tell no more of colour. */
const WIDTH = 640;
/** Colourways drawn in one go; their pixels pass through the browser's pipe together. */
const TOGETHER = 4;

export function planComparisons(
  { compare = [] }: Plan,
  takes: readonly TakeWork[],
  models: readonly ModelWork[],
  engine: readonly string[],
): ComparisonWork[] {
  return takes
    .filter(({ take }) => !take.metals && compare.includes(take.shot.name))
    .flatMap((take) =>
      take.take.colourways.flatMap(({ pictures }, colourway): ComparisonWork[] => {
        const skus = pictures.map((p) => p.sku);
        const model = models.find((m) => m.shape === take.take.shapes[0]);
        const name = model?.colourways.find((c) => c.variants.some((v) => v.sku === skus[0]))?.name;
        if (!model || name === undefined) return [];
        const variant = variantName(name);
        const film = take.films[colourway];
        const key = artefactKey({ layer: 'picture', engine, comparison: 1, film, model: model.key, variant });
        return [{ key, take, colourway, skus, model, variant }];
      }),
    );
}

/** Compares what is not compared yet. What cannot be drawn fails its bands' comparison and nothing else. */
export async function makeComparisons(job: Job): Promise<void> {
  const { work, store } = job.place;
  const { signal, report } = job.options;
  const byTake = new Map<TakeWork, ComparisonWork[]>();
  for (const one of work.comparisons) {
    if (!one.skus.some((sku) => job.wanted(sku)) || (await store.has('picture', one.key))) continue;
    byTake.set(one.take, [...(byTake.get(one.take) ?? []), one]);
  }
  for (const [take, all] of byTake)
    for (let i = 0; i < all.length; i += TOGETHER) {
      signal.throwIfAborted();
      const some = all.slice(i, i + TOGETHER);
      try {
        await compareTake(job, take, some);
      } catch (error) {
        if (signal.aborted || error instanceof ProblemError) throw error;
        const reason = error instanceof Error ? error.message : String(error);
        report({ event: 'warning', message: `no comparison of ${takeName(take)} with its model: ${reason}` });
        for (const { skus } of some) job.fail(skus, `no comparison with its model: ${reason}`);
        job.retriable = true;
      }
    }
}

async function compareTake(job: Job, take: TakeWork, some: readonly ComparisonWork[]): Promise<void> {
  const start = performance.now();
  let bytes = 0;
  const { store, costs } = job.place;
  const shape = await job.bench.get(take.take.shapes[0]);
  const tracer = await job.tracer();
  if (!shape || !tracer.draw || !(await store.has('model', some[0].model.key))) return;
  const { shot } = take.take;
  const scene = takeScene(take.take, [shape], await loadSky(take.take));
  const [band] = composeShot(shot.view, [shape], shot.turn?.angle, shot.stacked).bands;
  const lift = new Matrix4().makeTranslation(0, lowestPoint(shape), 0);
  const toWorld = band.toWorld
    .clone()
    .multiply(lift)
    .multiply(new Matrix4().makeScale(1000, 1000, 1000));
  const map = studioMap(scene, [
    band.toWorld.elements[12],
    scene.camera.target[1],
    band.toWorld.elements[14],
  ]);
  const width = Math.min(WIDTH, shot.widthPx);
  const height = Math.max(1, Math.round((shot.heightPx * width) / shot.widthPx));
  const order: StillOrder = {
    glb: Buffer.from(await viewerModel(store, some[0].model)).toString('base64'),
    variants: some.map((s) => s.variant),
    toWorld: toWorld.elements,
    camera: scene.camera,
    width,
    height,
    map: { ...map, texels: Buffer.from(map.texels.buffer).toString('base64') },
    background: WHITE_LEVEL,
  };
  const still = (await tracer.draw(await stillCode(), 'drawStill', order)) as Still;
  const metal = upright(Buffer.from(still.metal, 'base64'), width, 1);
  for (const [i, one] of some.entries()) {
    const traced = await loadFilm(store, take.films[one.colourway]);
    if (!traced) continue;
    const model = filmOf(still.pictures[i], width, height);
    const { comparison, ...picture } = await compareFilms({ traced, model, metal, white: WHITE_LEVEL });
    await store.put('picture', one.key, encodeComparison({ comparison, ...picture }));
    bytes += picture.data.length;
    const { deltaE } = comparison;
    job.options.report({ event: 'comparison', sku: one.skus[0], shot: shot.name, deltaE });
  }
  costs.recordPieces('comparison', (performance.now() - start) / 1000, bytes, some.length);
}

/** WebGL reads rows from the bottom up. */
function upright(bytes: Uint8Array, width: number, bytesEach: number): Uint8Array {
  const row = width * bytesEach;
  const out = new Uint8Array(bytes.length);
  for (let from = 0, to = bytes.length - row; to >= 0; from += row, to -= row)
    out.set(bytes.subarray(from, from + row), to);
  return out;
}

function filmOf(base64: string, width: number, height: number): Film {
  const rgba = new Float32Array(upright(Buffer.from(base64, 'base64'), width, 16).buffer);
  const data = new Float32Array(width * height * 3);
  for (let i = 0; i < width * height; i++) data.set(rgba.subarray(4 * i, 4 * i + 3), 3 * i);
  return { width, height, data };
}

interface StoredComparison {
  comparison: FilmComparison;
  width: number;
  height: number;
  data: Uint8Array;
}

/** A 4-byte little-endian length, that many bytes of JSON, then the picture. */
function encodeComparison({ data, ...facts }: StoredComparison): Uint8Array {
  const header = Buffer.from(JSON.stringify(facts));
  const length = Buffer.alloc(4);
  length.writeUInt32LE(header.length);
  return Buffer.concat([length, header, data]);
}

function decodeComparison(bytes: Uint8Array): StoredComparison {
  const buffer = Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const at = 4 + buffer.readUInt32LE(0);
  return { ...JSON.parse(buffer.toString('utf8', 4, at)), data: buffer.subarray(at) };
}

/** Comparisons that the store holds, ready to publish. */
export async function catalogueComparisons({ work, store }: ItemSource): Promise<CatalogueComparison[]> {
  return (await Promise.all(work.comparisons.map((one) => loadComparison(one, work.plan, store)))).flat();
}

async function loadComparison(
  { key, skus, take }: ComparisonWork,
  plan: Plan,
  store: ArtefactStore,
): Promise<CatalogueComparison[]> {
  const bytes = await store.get('picture', key);
  if (!bytes) return [];
  const { comparison, ...picture } = decodeComparison(bytes);
  const subject = subjectsOf(plan).find((s) => s.sku === skus[0]);
  const title = subject ? titleOf(subject, messagesOf(plan.language).wording) : skus[0];
  const shot = take.take.shot.name;
  const { traced, model, deltaE, pixels } = comparison;
  const file = `comparison/${skus[0]}-${shot}.webp`;
  return [{ shot, skus, title, file, ...picture, traced: [...traced], model: [...model], deltaE, pixels }];
}
