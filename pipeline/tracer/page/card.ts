/**
 * A graphics card as the only worker of a page: the page's server gives this script where a take by the cores gets
 * `worker.js`. So the page knows nothing of cards, and what the cores trace stays what it was whatever becomes of the card's
 * programs.
 *
 * Sums lie on the card. They come into the common film where somebody is about to read it: before a checkpoint, which is
 * taken here for that reason, and when the take ends, which is foreseen by the page's own rule.
 */
import { CheckpointClock, piecesOf } from '../checkpoint.ts';
import { type FilmState, filmState } from '../film-state.ts';
import { CardShare } from '../gpu/card-share.ts';
import { adapterName, GpuRefusal, openGpu } from '../gpu/device.ts';
import { GpuCrew } from '../gpu/gpu-crew.ts';
import { KernelHost, type KernelImage } from '../kernel-host.ts';
import type { Pass } from '../pass-share.ts';
import { decodeScene } from '../scene-blob.ts';
import { closeTiles, filmError } from '../stop-rule.ts';
import type { CardNews, CardOrder, TakeOrder, WorkerAnswer, WorkerOrder } from './orders.ts';

type Begin = Extract<WorkerOrder, { kind: 'begin' }>;
type Features = Extract<WorkerOrder, { kind: 'features' }>;

const order: Promise<TakeOrder & { card: CardOrder }> = fetch(new URL('order', location.href)).then((r) =>
  r.json(),
);

async function send(name: string, body: BodyInit): Promise<void> {
  const response = await fetch(new URL(name, location.href), { method: 'POST', body });
  if (!response.ok) throw new Error(`${name}: HTTP ${response.status}`);
}

const tell = (news: CardNews) => send('card', JSON.stringify(news));

let begin: Begin;
let film: FilmState;
let share: CardShare;
let image: KernelImage;
let crew: GpuCrew;
let clock: CheckpointClock | undefined;

async function obey(asked: WorkerOrder): Promise<void> {
  switch (asked.kind) {
    case 'begin':
      begin = asked;
      film = filmState(asked.size, asked.film);
      share = new CardShare(film, asked.share);
      return;
    case 'pack':
      return engage(asked.scene);
    case 'pass':
      return work(asked.pass);
    case 'features':
      return look(asked);
  }
}

/** Packs the scene as the cores do and puts it onto the card. */
async function engage(scene: SharedArrayBuffer): Promise<void> {
  const { card } = await order;
  const gpu = await openGpu(navigator.gpu);
  if (!gpu) throw new GpuRefusal('refused', 'the browser has no graphics card to give');
  const adapter = adapterName(gpu.facts);
  if (gpu.facts.software && !card.software)
    throw new GpuRefusal('refused', `${adapter} is a processor that plays a graphics card`);
  await tell({ adapter });
  const kernel = await KernelHost.create(begin.wasm);
  kernel.load(decodeScene(scene));
  image = kernel.image();
  crew = await GpuCrew.engage(gpu, image, film, share);
  if (card.checkpointEvery !== undefined)
    clock = new CheckpointClock(card.checkpointEvery, performance.now());
}

async function work(pass: Pass): Promise<void> {
  if (clock?.due(performance.now())) await save(clock);
  await crew.work(pass);
  if (await isLast(pass)) {
    await crew.fetch();
    crew.dismiss();
  }
}

async function save(clock: CheckpointClock): Promise<void> {
  const from = performance.now();
  await crew.fetch();
  let at = 0;
  for (const piece of piecesOf(film)) {
    await send(`checkpoint/${at}`, new Blob([piece]));
    at += piece.length;
  }
  clock.saved(from, performance.now());
}

/** Whether the page will find no tile open when it judges this pass. */
async function isLast(pass: Pass): Promise<boolean> {
  const { noiseTarget, passCap } = await order;
  const judged = { ...film, samples: film.samples.slice(), open: film.open.slice() };
  for (const tile of share.tiles(pass.units)) judged.samples[tile] = pass.to;
  return closeTiles(judged, filmError(judged).tiles, noiseTarget, passCap) === 0;
}

/** Cores look at features, as they do for takes of their own. */
async function look(asked: Features): Promise<void> {
  const { workers } = (await order).card;
  await Promise.all(
    Array.from({ length: workers }, async (_, first) => {
      const worker = new Worker(new URL('../../worker.js', location.href), { type: 'module' });
      await ask(worker, begin);
      await ask(worker, { kind: 'adopt', image });
      await ask(worker, { ...asked, first, stride: workers });
      worker.terminate();
    }),
  );
}

function ask(worker: Worker, order: WorkerOrder): Promise<void> {
  return new Promise((resolve, reject) => {
    worker.onmessage = ({ data }: MessageEvent<WorkerAnswer>) =>
      data.kind === 'done' ? resolve() : reject(new Error(data.why));
    worker.onerror = (event) => reject(new Error(event.message || 'a worker could not start'));
    worker.postMessage(order);
  });
}

const answer = (message: WorkerAnswer) => globalThis.postMessage(message);

globalThis.onmessage = async ({ data }: MessageEvent<WorkerOrder>) => {
  try {
    await obey(data);
    answer({ kind: 'done' });
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    if (error instanceof GpuRefusal) await tell({ refused: why }).catch(() => {});
    answer({ kind: 'failed', why });
  }
};
