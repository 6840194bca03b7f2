/** A graphics card as the crew of a take, from the scene as Node sends it: in a page's worker and in a process of Node. */
import type { FilmState } from '../film-state.ts';
import type { CardShare } from '../gpu/card-share.ts';
import { adapterName, type Gpu, GpuRefusal } from '../gpu/device.ts';
import { GpuCrew } from '../gpu/gpu-crew.ts';
import { KernelHost } from '../kernel-host.ts';
import { decodeScene } from '../scene-blob.ts';
import type { CardNews, TakeOrder } from './orders.ts';

export type Tell = (news: CardNews) => Promise<void>;

/**
 * Packs the scene as the cores do and puts it onto the card. Throws a GpuRefusal where the card won't have the take.
 * @param host that was to give the card
 */
export async function engageCard(
  gpu: Gpu | undefined,
  host: 'the browser' | 'Dawn for Node',
  { card, filtered, guide }: TakeOrder,
  parts: { wasm: WebAssembly.Module; scene: ArrayBufferLike; film: FilmState; share: CardShare },
  tell: Tell,
): Promise<GpuCrew> {
  if (!gpu) throw new GpuRefusal('refused', `${host} has no graphics card to give`);
  const adapter = adapterName(gpu.facts);
  if (gpu.facts.software && !card?.software)
    throw new GpuRefusal('refused', `${adapter} is a processor that plays a graphics card`);
  await tell({ adapter });
  const kernel = await KernelHost.create(parts.wasm);
  kernel.load(decodeScene(parts.scene));
  return GpuCrew.engage(gpu, kernel.image(), parts.film, parts.share, filtered || guide);
}

/** Tells a refusal, after which the cores trace the take. */
export async function tellRefusal(error: unknown, tell: Tell): Promise<void> {
  if (error instanceof GpuRefusal) await tell({ refused: error.message }).catch(() => {});
}
