/** A packed scene on the card: the kernel's memory as it is, and what programs must know of it beforehand. */
import * as layout from '../kernel/layout.ts';
import type { KernelImage } from '../kernel-host.ts';
import type { SceneMemory } from '../scene-memory.ts';
import { type Gpu, GpuRefusal } from './device.ts';
import { heldIn, type SceneTraits, traitsOf } from './scene-traits.ts';
import { SINGLE_BYTES } from './shader/memory.ts';
import { shrinkNodes } from './small-nodes.ts';

export interface GpuScene extends SceneTraits {
  bytes: GPUBuffer;
  single: GPUBuffer;
}

/** What programs that follow rays read of it, by binding. */
export const sceneBindings = ({ bytes, single }: GpuScene): Record<number, GPUBuffer> => ({
  0: bytes,
  1: bytes,
  2: single,
});

/** Throws a GpuRefusal if the scene is larger than the card binds. */
export function loadScene({ device, binding }: Gpu, image: KernelImage): GpuScene {
  const size = Math.ceil(image.scene.film / 16) * 16;
  if (size > binding)
    throw new GpuRefusal('too-large', `the scene takes ${size} bytes and the card binds ${binding}`);
  const scene = {
    bytes: device.createBuffer({ size, usage: GPUBufferUsage.STORAGE | GPUBufferUsage.COPY_DST }),
    single: device.createBuffer({
      size: SINGLE_BYTES,
      usage: GPUBufferUsage.UNIFORM | GPUBufferUsage.COPY_DST,
    }),
    ...traitsOf(image),
  };
  // shared memory can't be handed to the card; and its nodes are made smaller
  const copy = new Uint8Array(size);
  copy.set(new Uint8Array(image.bytes, 0, image.scene.film));
  shrinkNodes(new Uint32Array(copy.buffer));
  device.queue.writeBuffer(scene.bytes, 0, copy);
  device.queue.writeBuffer(scene.single, 0, copy, layout.PARAMS, SINGLE_BYTES);
  return scene;
}

/**
 * Lays what a turn changes (`layTurn`) over a scene on the card: single values, lights and the light on the ground. What the
 * scene holds stays.
 */
export function renewScene({ device }: Gpu, { bytes, single }: GpuScene, memory: Uint8Array): void {
  const word = (at: number) => new DataView(memory.buffer, memory.byteOffset).getUint32(at, true);
  const put = (at: number, length: number) =>
    device.queue.writeBuffer(bytes, at, memory.slice(at, at + length));
  device.queue.writeBuffer(single, 0, memory.slice(layout.PARAMS, layout.PARAMS + SINGLE_BYTES));
  put(layout.PARAMS, SINGLE_BYTES);
  put(layout.IRRADIANCE, layout.GRID * layout.GRID * 16);
  const blocks = word(layout.LIGHT_BLOCKS);
  if (blocks > 0) put(word(layout.LIGHT_BLOCKS_AT), blocks * layout.LIGHT_BLOCK_BYTES);
  if (word(layout.LIGHTS) > 0) put(word(layout.LIGHTS_AT), word(layout.LIGHTS) * layout.LIGHT_BYTES);
}

/**
 * Lays other colours and finishes (`KernelHost.recolour`) over a scene on the card.
 * @returns the scene as it is now: where it holds other things than before, it needs other programs
 */
export function recolourScene(
  { device }: Gpu,
  scene: GpuScene,
  memory: Uint8Array,
  laid: SceneMemory,
): GpuScene {
  const word = (at: number) => new DataView(memory.buffer, memory.byteOffset).getUint32(at, true);
  // they lie one after another, and the lights behind them
  const [from, to] = [word(layout.SURFACES_AT), word(layout.LIGHT_BLOCKS_AT)];
  device.queue.writeBuffer(scene.bytes, from, memory.slice(from, to));
  return { ...scene, has: heldIn(memory, laid) };
}

export function dropScene({ bytes, single }: GpuScene): void {
  bytes.destroy();
  single.destroy();
}
