/** A worker of the page: has its own kernel and traces its share of every pass into the common film. */
import { type FilmState, filmState } from '../film-state.ts';
import { KernelHost } from '../kernel-host.ts';
import { PassShare, scratchFor } from '../pass-share.ts';
import { decodeScene } from '../scene-blob.ts';
import type { WorkerAnswer, WorkerOrder } from './orders.ts';

interface Bench {
  kernel: KernelHost;
  film: FilmState;
  share: PassShare;
  scratch: Float32Array;
}

let bench: Bench | undefined;

async function obey(order: WorkerOrder): Promise<void> {
  if (order.kind === 'begin') {
    const kernel = await KernelHost.create(order.wasm);
    kernel.load(decodeScene(order.scene));
    const film = filmState(order.size, order.film);
    bench = { kernel, film, share: new PassShare(film, order.share), scratch: scratchFor(film) };
    return;
  }
  if (!bench) throw new Error('a pass was ordered before the take began');
  bench.share.work(bench.film, bench.kernel, order.pass, bench.scratch);
}

const answer = (message: WorkerAnswer) => globalThis.postMessage(message);

globalThis.onmessage = (event: MessageEvent<WorkerOrder>) => {
  obey(event.data).then(
    () => answer({ kind: 'done' }),
    (error) => answer({ kind: 'failed', why: error instanceof Error ? error.message : String(error) }),
  );
};
