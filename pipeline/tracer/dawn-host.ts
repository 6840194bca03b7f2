/**
 * Traces takes with WebGPU in a process of Node's own, by Dawn: the page of a take without a browser. A process, because
 * what breaks in a driver breaks the process it is in. Its device and programs serve one take after another.
 */
import type { DawnAnswer, DawnOrder } from './dawn-orders.ts';
import { CardShare } from './gpu/card-share.ts';
import { dawn } from './gpu/dawn.ts';
import { type Gpu, openGpu } from './gpu/device.ts';
import { engageCard, type Tell, tellRefusal } from './page/card-take.ts';
import { runTake, TakePlace } from './page/whole-take.ts';

const answer = (message: DawnAnswer) => process.send?.(message);

let gpu: Gpu | undefined;
const running = new Map<string, CardShare>();

/** The card; another device of it after the last one was lost. */
async function card(): Promise<Gpu | undefined> {
  if (gpu) return gpu;
  const opened = await openGpu(await dawn());
  gpu = opened;
  opened?.device.lost.then(() => {
    if (gpu === opened) gpu = undefined;
  });
  return opened;
}

async function take(url: string): Promise<void> {
  const place = new TakePlace(new URL(url));
  const tell: Tell = (news) => place.send('card', JSON.stringify(news));
  try {
    await runTake(
      place,
      async (order, film, share) => {
        const [wasm, scene] = await Promise.all([
          place.kernel(),
          place.get('scene').then((r) => r.arrayBuffer()),
        ]);
        const parts = { wasm, scene, film, share: share as CardShare };
        const crew = await engageCard(await card(), 'Dawn for Node', order, parts, tell);
        const { workers } = crew;
        return {
          workers,
          work: (pass) => crew.work(pass),
          bring: () => crew.fetch(),
          look: () => crew.look(order.seed),
          dismiss: () => crew.dismiss(),
        };
      },
      (film) => {
        const share = new CardShare(film);
        running.set(url, share);
        return share;
      },
    );
  } catch (error) {
    await tellRefusal(error, tell);
    const why = error instanceof Error ? error.message : String(error);
    // a take that nobody wants any more has no address
    await place.send('failed', JSON.stringify({ why })).catch(() => {});
  } finally {
    running.delete(url);
  }
}

process.on('message', (order: DawnOrder) => {
  if (order.kind === 'take') take(order.url);
  else if (order.kind === 'end') running.get(order.url)?.stop();
  else answer({ kind: 'pong', id: order.id });
});
// with the session gone nobody wants anything
process.on('disconnect', () => process.exit());

const found = await card().catch(() => undefined);
answer({ kind: 'card', facts: found?.facts });
