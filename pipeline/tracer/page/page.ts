/**
 * The page of one take: fetches its order and scene from Node, sets a worker on every core, and sends progress and
 * at last the films back. Starts by itself; Node ends it by closing the page.
 */
import type { FilmState } from '../film-state.ts';
import { FEATURES } from '../kernel/layout.ts';
import type { KernelImage } from '../kernel-host.ts';
import type { PassShare } from '../pass-share.ts';
import type { TakeOrder, WorkerAnswer, WorkerOrder } from './orders.ts';
import { runTake, type TakeCrew, TakePlace } from './whole-take.ts';

const place = new TakePlace(new URL('.', location.href));

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

async function engage(order: TakeOrder, film: FilmState, share: PassShare): Promise<TakeCrew> {
  const [wasm, scene] = await Promise.all([
    place.kernel(),
    place
      .get('scene')
      .then((r) => r.arrayBuffer())
      .then(shared),
  ]);
  const size = { width: order.width, height: order.height, colourways: order.colourways };
  const workers = Array.from(
    { length: order.workers },
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
  const look = async ({ sum, width, height }: FilmState) => {
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
  // the film of a graphics card's take lies on the card
  const bring = order.card && (() => all(workers, { kind: 'bring' }));
  return { workers: workers.length, work: (pass) => all(workers, { kind: 'pass', pass }), bring, look };
}

runTake(place, engage).catch((error) =>
  place.send('failed', JSON.stringify({ why: error?.message ?? String(error) })),
);
