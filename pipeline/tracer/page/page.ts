/**
 * The page of one take: fetches its order and scene from Node, sets a worker on every core, and sends progress and
 * at last the films back. Starts by itself; Node ends it by closing the page.
 */
import { PIECE, piecesOf, resumeFilm } from '../checkpoint.ts';
import { FEATURE_PLANES, featurePlane, spreadRows } from '../film-guide.ts';
import { developTileRows, type FilmState, filmState, TILE } from '../film-state.ts';
import { type Crew, traceTake } from '../film-take.ts';
import { adapterName, GpuRefusal, openGpu } from '../gpu/device.ts';
import { GpuCrew } from '../gpu/gpu-crew.ts';
import { FEATURES } from '../kernel/layout.ts';
import type { KernelImage } from '../kernel-host.ts';
import { type Pass, PassShare } from '../pass-share.ts';
import type { TracedBy, TraceProgress } from '../tracer.ts';
import { collectGarbage } from './garbage.ts';
import type { TakeOrder, WorkerAnswer, WorkerOrder } from './orders.ts';

const HERE = new URL('.', location.href);

async function get(name: string): Promise<Response> {
  const response = await fetch(new URL(name, HERE));
  if (!response.ok) throw new Error(`${name}: HTTP ${response.status}`);
  return response;
}

async function send(name: string, body: string | Blob): Promise<void> {
  const response = await fetch(new URL(name, HERE), { method: 'POST', body });
  if (!response.ok) throw new Error(`${name}: HTTP ${response.status}`);
}

/**
 * Sends bytes as a blob, because Chromium uploads those four times as fast as array buffers. The browser's process holds a
 * blob until the page's garbage collector finds it, which left to itself comes too late: sixteen films of 1600² pixels
 * stood there all at once, half a gigabyte.
 */
async function sendBytes(name: string, bytes: BlobPart): Promise<void> {
  await send(name, new Blob([bytes]));
  await collectGarbage();
}

/** Hands an order to a worker; rejects when it fails or dies. */
function ask(worker: Worker, order: WorkerOrder): Promise<KernelImage | undefined> {
  return new Promise((resolve, reject) => {
    worker.onmessage = ({ data }: MessageEvent<WorkerAnswer>) =>
      data.kind === 'done' ? resolve(data.image) : reject(new Error(data.why));
    worker.onerror = (event) => reject(new Error(event.message || 'a worker could not start'));
    worker.postMessage(order);
  });
}

function shared(bytes: ArrayBuffer): SharedArrayBuffer {
  const copy = new SharedArrayBuffer(bytes.byteLength);
  new Uint8Array(copy).set(new Uint8Array(bytes));
  return copy;
}

/** A crew with what it does beside work. */
interface Hands {
  crew: Crew;
  /** brings what they hold of the film into it */
  gather(): Promise<void>;
  /** features of the whole frame; the film's sums are gone then */
  look(): Promise<Float32Array>;
  by: TracedBy;
}

const HERE_ALREADY = async () => {};

/** Workers that have packed the scene; `image` is what the first has made of it. */
async function hire(order: TakeOrder, film: FilmState, share: PassShare, count: number) {
  const [wasm, scene] = await Promise.all([
    get('../../kernel.wasm').then((r) => WebAssembly.compileStreaming(r)),
    get('scene')
      .then((r) => r.arrayBuffer())
      .then(shared),
  ]);
  const size = { width: order.width, height: order.height, colourways: order.colourways };
  const workers = Array.from(
    { length: count },
    () => new Worker(new URL('worker.js', import.meta.url), { type: 'module' }),
  );
  const all = async (hands: Worker[], order: WorkerOrder) => {
    await Promise.all(hands.map((w) => ask(w, order)));
  };
  const filmBlock = film.buffer as SharedArrayBuffer;
  await all(workers, { kind: 'begin', wasm, size, film: filmBlock, share: share.buffer });
  // One packs, so that the tree is built and held in pieces only once.
  const [first, ...others] = workers;
  const image = await ask(first, { kind: 'pack', scene });
  if (image) await all(others, { kind: 'adopt', image });
  const look = async () => {
    const { sum, width, height } = film;
    const length = width * height * FEATURES;
    // over the sums, which are not needed any more, where they are long enough
    const memory = (
      length <= sum.length ? sum.buffer : new SharedArrayBuffer(length * 4)
    ) as SharedArrayBuffer;
    const at = length <= sum.length ? sum.byteOffset : 0;
    const part = { kind: 'features', seed: order.seed, stride: workers.length, memory, at } as const;
    await Promise.all(workers.map((worker, first) => ask(worker, { ...part, first })));
    return new Float32Array(memory, at, length);
  };
  return { workers, all, image, look };
}

async function engageCores(order: TakeOrder, film: FilmState, share: PassShare): Promise<Hands> {
  const { workers, all, look } = await hire(order, film, share, order.workers);
  const crew = { workers: workers.length, work: (pass: Pass) => all(workers, { kind: 'pass', pass }) };
  return { crew, gather: HERE_ALREADY, look, by: { engine: 'wasm-simd' } };
}

/** Workers pack the scene and look at features, if those are wanted; the card traces. Throws a GpuRefusal. */
async function engageCard(order: TakeOrder, film: FilmState, share: PassShare): Promise<Hands> {
  const gpu = await openGpu(navigator.gpu);
  if (!gpu) throw new GpuRefusal('refused', 'the browser has no graphics card to give');
  const adapter = adapterName(gpu.facts);
  if (gpu.facts.software && !order.software)
    throw new GpuRefusal('refused', `${adapter} is a processor that plays a graphics card`);
  // paper, rim, dents, wavelengths and the error estimate of the kernel are not in the shaders: films would differ unseen
  if (!order.software) throw new GpuRefusal('refused', "the graphics card's shaders are behind the kernel");
  const { workers, image, look } = await hire(order, film, share, order.guide ? order.workers : 1);
  if (!order.guide) for (const worker of workers) worker.terminate();
  if (!image) throw new GpuRefusal('refused', 'the scene was not packed');
  const crew = await GpuCrew.engage(gpu, image, film, share);
  return { crew, gather: () => crew.fetch(), look, by: { engine: 'webgpu', adapter } };
}

/** Progress is dropped, not queued, while an earlier report is on its way. */
function reporter(): (progress: TraceProgress) => void {
  let busy = false;
  return (progress) => {
    if (busy) return;
    busy = true;
    send('progress', JSON.stringify(progress))
      .catch(() => {})
      .finally(() => {
        busy = false;
      });
  };
}

/** The film as Node has kept it, or a fresh one. */
async function openFilm(order: TakeOrder): Promise<FilmState> {
  if (!order.resume) return filmState(order);
  const { body } = await get('checkpoint');
  const reader = body?.getReader();
  const pieces = async function* () {
    for (let next = await reader?.read(); next?.value; next = await reader?.read()) yield next.value;
  };
  // A checkpoint that breaks off on its way costs time and nothing else.
  const film = await resumeFilm(order, pieces(), order.passCap).catch(() => undefined);
  return film ?? filmState(order);
}

/** Sends the film as it is; pieces go one after the other, so that only one is held twice. */
async function save(film: FilmState): Promise<void> {
  let at = 0;
  for (const piece of piecesOf(film)) {
    await sendBytes(`checkpoint/${at}`, piece);
    at += piece.length;
  }
}

/** Develops and sends a plane piece by piece. */
async function handOver(
  film: FilmState,
  plane: number,
  develop: (from: number, to: number) => Float32Array<ArrayBuffer>,
): Promise<void> {
  const rows = Math.max(1, Math.floor(PIECE / (film.width * TILE * 12)));
  let at = 0;
  for (let from = 0; from < film.tilesY; from += rows) {
    const part = develop(from, Math.min(from + rows, film.tilesY));
    await sendBytes(`film/${plane}/${at}`, part);
    at += part.byteLength;
  }
}

/** Sends what the film filter needs, the spread last. The film's sums are gone then. */
async function handOverGuide(order: TakeOrder, film: FilmState, look: Hands['look']): Promise<void> {
  const spread = spreadRows(film, order.colours, 0, film.tilesY);
  const { width } = film;
  const features = await look();
  const rows = (from: number, to: number) =>
    features.subarray(from * TILE * width * FEATURES, Math.min(to * TILE, film.height) * width * FEATURES);
  for (let plane = 0; plane < FEATURE_PLANES; plane++)
    await handOver(film, order.colourways + plane, (from, to) => featurePlane(rows(from, to), plane));
  await handOver(film, order.colourways + FEATURE_PLANES, (from, to) =>
    spread.slice(from * TILE * width * 3, Math.min(to * TILE, film.height) * width * 3),
  );
}

async function traceWith(
  order: TakeOrder,
  engage: (order: TakeOrder, film: FilmState, share: PassShare) => Promise<Hands>,
) {
  const film = await openFilm(order);
  const share = new PassShare(film);
  const { crew, gather, look, by } = await engage(order, film, share);
  const saveAll = async () => {
    await gather();
    await save(film);
  };
  const checkpoint = order.checkpointEvery ? { every: order.checkpointEvery, save: saveAll } : undefined;
  const end = await traceTake(film, share, crew, { ...order, checkpoint, onProgress: reporter() });
  await gather();
  return { film, end, look, by };
}

/** By the card, if one is asked for and it goes well to the end; else by the cores, from the last checkpoint or anew. */
async function trace(order: TakeOrder): Promise<Awaited<ReturnType<typeof traceWith>>> {
  if (order.engine !== 'webgpu') return traceWith(order, engageCores);
  try {
    return await traceWith(order, engageCard);
  } catch (error) {
    if (!(error instanceof GpuRefusal)) throw error;
    const { by, ...traced } = await traceWith(order, engageCores);
    return { ...traced, by: { ...by, instead: error.message } };
  }
}

async function take(): Promise<void> {
  const order: TakeOrder = await get('order').then((r) => r.json());
  const { film, end, look, by } = await trace(order);
  for (let c = 0; c < order.colourways; c++)
    await handOver(film, c, (from, to) => developTileRows(film, c, from, to));
  if (order.guide) await handOverGuide(order, film, look);
  await send('done', JSON.stringify({ ...end, by }));
}

take().catch((error) => send('failed', JSON.stringify({ why: error?.message ?? String(error) })));
