/** A packed scene on the card: the kernel's memory as it is, and what programs must know of it beforehand. */
import * as layout from '../kernel/layout.ts';
import type { KernelImage } from '../kernel-host.ts';
import { type Gpu, GpuRefusal } from './device.ts';
import type { SceneTraits } from './programs.ts';
import { SINGLE_BYTES } from './shader/memory.ts';
import { shrinkNodes } from './small-nodes.ts';

export interface GpuScene extends SceneTraits {
  bytes: GPUBuffer;
  single: GPUBuffer;
}

/** Throws a GpuRefusal if the scene is larger than the card binds. */
export function loadScene({ device, binding }: Gpu, { bytes, scene: { film } }: KernelImage): GpuScene {
  const size = Math.ceil(film / 16) * 16;
  if (size > binding)
    throw new GpuRefusal('too-large', `the scene takes ${size} bytes and the card binds ${binding}`);
  const scene = {
    bytes: device.createBuffer({ size, usage: GPUBufferUsage.STORAGE | GPUBufferUsage.COPY_DST }),
    single: device.createBuffer({
      size: SINGLE_BYTES,
      usage: GPUBufferUsage.UNIFORM | GPUBufferUsage.COPY_DST,
    }),
    ...traitsOf(new Uint32Array(bytes, 0, film >> 2)),
  };
  // shared memory can't be handed to the card; and its nodes are made smaller
  const copy = new Uint8Array(size);
  copy.set(new Uint8Array(bytes, 0, film));
  shrinkNodes(new Uint32Array(copy.buffer));
  device.queue.writeBuffer(scene.bytes, 0, copy);
  device.queue.writeBuffer(scene.single, 0, copy, layout.PARAMS, SINGLE_BYTES);
  return scene;
}

/** Lays what a turn changes (`layTurn`) over a scene on the card: single values, lights and the light on the ground. */
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

/** Lays other colours and finishes (`KernelHost.recolour`) over a scene on the card. */
export function recolourScene({ device }: Gpu, { bytes }: GpuScene, memory: Uint8Array): void {
  const word = (at: number) => new DataView(memory.buffer, memory.byteOffset).getUint32(at, true);
  // they lie one after another, and the lights behind them
  const [from, to] = [word(layout.SURFACES_AT), word(layout.LIGHT_BLOCKS_AT)];
  device.queue.writeBuffer(bytes, from, memory.slice(from, to));
}

export function dropScene({ bytes, single }: GpuScene): void {
  bytes.destroy();
  single.destroy();
}

function traitsOf(words: Uint32Array): SceneTraits {
  const surfaces = new Set<number>();
  const ofTriangles = words[layout.TRIANGLE_SURFACE_AT / 4] / 2;
  const halves = new Uint16Array(words.buffer, 0, words.length * 2);
  for (let i = 0; i < words[layout.TRIANGLES / 4]; i++)
    surfaces.add(words[layout.SURFACES_AT / 4] + halves[ofTriangles + i] * layout.SURFACE_BYTES);
  const has = (field: number) => (surface: number) => words[(surface + field) / 4] !== 0;
  const patterned = [...surfaces].filter(has(layout.PATTERN));
  for (const surface of patterned) surfaces.add(words[(surface + layout.OTHER_LAYER) / 4]);
  return {
    depth: stackDepth(words),
    bodies: [...surfaces].some(has(layout.COAT_RATIO)),
    patterns: patterned.length > 0,
  };
}

/** Most children that can wait at a time: of each node on the way down all but the one followed. */
function stackDepth(words: Uint32Array): number {
  const below = (node: number): number => {
    if ((node & 15) !== 0) return 0;
    let children = 0;
    let deepest = 0;
    for (let lane = 0; lane < layout.WIDE; lane++) {
      const child = words[(node + layout.NODE_CHILDREN) / 4 + lane];
      if (child === 0) continue;
      children++;
      deepest = Math.max(deepest, below(child));
    }
    return deepest + Math.max(0, children - 1);
  };
  // in steps, so that scenes share their programs
  return Math.ceil((below(words[layout.ROOT / 4]) + 1) / 16) * 16;
}
