/**
 * The page of one take: fetches its order and scene from Node, sets a worker on every core, and sends progress and
 * at last the films back. Starts by itself; Node ends it by closing the page.
 */
import { developFilm, type FilmState, filmState } from '../film-state.ts';
import { type Crew, traceTake } from '../film-take.ts';
import { PassShare } from '../pass-share.ts';
import type { TraceProgress } from '../tracer.ts';
import type { TakeOrder, WorkerAnswer, WorkerOrder } from './orders.ts';

const HERE = new URL('.', location.href);

async function get(name: string): Promise<Response> {
  const response = await fetch(new URL(name, HERE));
  if (!response.ok) throw new Error(`${name}: HTTP ${response.status}`);
  return response;
}

async function send(name: string, body: Blob | string): Promise<void> {
  const response = await fetch(new URL(name, HERE), { method: 'POST', body });
  if (!response.ok) throw new Error(`${name}: HTTP ${response.status}`);
}

/** Hands an order to a worker; rejects when it fails or dies. */
function ask(worker: Worker, order: WorkerOrder): Promise<void> {
  return new Promise((resolve, reject) => {
    worker.onmessage = ({ data }: MessageEvent<WorkerAnswer>) =>
      data.kind === 'done' ? resolve() : reject(new Error(data.why));
    worker.onerror = (event) => reject(new Error(event.message || 'a worker could not start'));
    worker.postMessage(order);
  });
}

function shared(bytes: ArrayBuffer): SharedArrayBuffer {
  const copy = new SharedArrayBuffer(bytes.byteLength);
  new Uint8Array(copy).set(new Uint8Array(bytes));
  return copy;
}

async function engage(order: TakeOrder, film: FilmState, share: PassShare): Promise<Crew> {
  const [wasm, scene] = await Promise.all([
    get('../../kernel.wasm').then((r) => WebAssembly.compileStreaming(r)),
    get('scene')
      .then((r) => r.arrayBuffer())
      .then(shared),
  ]);
  const size = { width: order.width, height: order.height, colourways: order.colourways };
  const workers = Array.from(
    { length: order.workers },
    () => new Worker(new URL('worker.js', import.meta.url), { type: 'module' }),
  );
  const all = async (orders: WorkerOrder) => {
    await Promise.all(workers.map((w) => ask(w, orders)));
  };
  const filmBlock = film.buffer as SharedArrayBuffer;
  await all({ kind: 'begin', wasm, scene, size, film: filmBlock, share: share.buffer });
  return { workers: workers.length, work: (pass) => all({ kind: 'pass', pass }) };
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

async function take(): Promise<void> {
  const order: TakeOrder = await get('order').then((r) => r.json());
  const film = filmState(order);
  const share = new PassShare(film);
  const crew = await engage(order, film, share);
  const end = await traceTake(film, share, crew, { ...order, onProgress: reporter() });
  // One colourway at a time: only one film is held twice.
  // As a blob, because Chromium uploads those four times as fast as array buffers.
  for (let c = 0; c < order.colourways; c++) await send(`film/${c}`, new Blob([developFilm(film, c)]));
  await send('done', JSON.stringify(end));
}

take().catch((error) => send('failed', JSON.stringify({ why: error?.message ?? String(error) })));
