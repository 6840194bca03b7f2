/** A worker of the page: has its own kernel and traces its share of every pass into the common film. */
import { type FilmState, filmState, TILE } from '../film-state.ts';
import { FEATURES } from '../kernel/layout.ts';
import { KernelHost, type KernelImage } from '../kernel-host.ts';
import { PassShare, scratchFor } from '../pass-share.ts';
import { decodeScene } from '../scene-blob.ts';
import { collectGarbage } from './garbage.ts';
import type { WorkerAnswer, WorkerOrder } from './orders.ts';

interface Bench {
  kernel: KernelHost;
  film: FilmState;
  share: PassShare;
  scratch: Float32Array;
}

let bench: Bench | undefined;

async function obey(order: WorkerOrder): Promise<KernelImage | undefined> {
  if (order.kind === 'begin') {
    const kernel = await KernelHost.create(order.wasm);
    const film = filmState(order.size, order.film);
    bench = { kernel, film, share: new PassShare(film, order.share), scratch: scratchFor(film) };
    return;
  }
  if (!bench) throw new Error('work was ordered before the take began');
  switch (order.kind) {
    case 'pack':
      bench.kernel.load(decodeScene(order.scene));
      // of the tree's building
      await collectGarbage();
      return bench.kernel.image();
    case 'adopt':
      bench.kernel.adopt(order.image);
      return;
    case 'pass':
      bench.share.work(bench.film, bench.kernel, order.pass, bench.scratch);
      return;
    case 'features':
      feature(bench, order);
  }
}

function feature({ kernel, film }: Bench, order: Extract<WorkerOrder, { kind: 'features' }>): void {
  const { width, height } = film;
  const all = new Float32Array(order.memory, order.at, width * height * FEATURES);
  for (let y = order.first * TILE; y < height; y += order.stride * TILE)
    all.set(kernel.features(0, y, width, Math.min(TILE, height - y), order.seed), y * width * FEATURES);
}

const answer = (message: WorkerAnswer) => globalThis.postMessage(message);

globalThis.onmessage = (event: MessageEvent<WorkerOrder>) => {
  obey(event.data).then(
    (image) => answer({ kind: 'done', image }),
    (error) => answer({ kind: 'failed', why: error instanceof Error ? error.message : String(error) }),
  );
};
