/**
 * A graphics card as the only worker of a page: the page's server gives this script where a take by the cores gets
 * `worker.js`. So the page knows nothing of cards but that their film has to be brought, and what the cores trace stays what
 * it was whatever becomes of the card's programs.
 */
import { filmState } from '../film-state.ts';
import { CardShare } from '../gpu/card-share.ts';
import { openGpu } from '../gpu/device.ts';
import type { GpuCrew } from '../gpu/gpu-crew.ts';
import { FEATURES } from '../kernel/layout.ts';
import { engageCard, type Tell, tellRefusal } from './card-take.ts';
import type { WorkerAnswer, WorkerOrder } from './orders.ts';
import { TakePlace } from './whole-take.ts';

type Begin = Extract<WorkerOrder, { kind: 'begin' }>;

const place = new TakePlace(new URL('.', location.href));
const order = place.order();
const tell: Tell = (news) => place.send('card', JSON.stringify(news));

let begin: Begin;
let crew: GpuCrew;

async function obey(asked: WorkerOrder): Promise<void> {
  switch (asked.kind) {
    case 'begin':
      begin = asked;
      return;
    case 'pack': {
      const film = filmState(begin.size, begin.film);
      const parts = { wasm: begin.wasm, scene: asked.scene, film, share: new CardShare(film, begin.share) };
      crew = await engageCard(await openGpu(navigator.gpu), 'the browser', await order, parts, tell);
      return;
    }
    case 'pass':
      return crew.work(asked.pass);
    case 'bring':
      return crew.fetch();
    case 'features': {
      const found = await crew.look(asked.seed);
      new Float32Array(asked.memory, asked.at, begin.size.width * begin.size.height * FEATURES).set(found);
    }
  }
}

const answer = (message: WorkerAnswer) => globalThis.postMessage(message);

globalThis.onmessage = async ({ data }: MessageEvent<WorkerOrder>) => {
  try {
    await obey(data);
    answer({ kind: 'done' });
  } catch (error) {
    await tellRefusal(error, tell);
    answer({ kind: 'failed', why: error instanceof Error ? error.message : String(error) });
  }
};
