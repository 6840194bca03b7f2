/** Paths on the card: slots in which they wait, and the programs that by turns take all of them one vertex further. */
import { type Gpu, storageBuffer } from './device.ts';
import { type GpuScene, sceneBindings } from './gpu-scene.ts';
import {
  bound,
  type Dispatch,
  dispatch,
  type Program,
  program,
  rayProgram,
  stoneProgram,
  vertexProgram,
} from './programs.ts';
import { type BatchPlanes, PORTIONS, partBytes } from './shader/film.ts';
import { PLANE_BYTES, SLOT_BYTES } from './shader/slots.ts';
import { COUNT_BYTES, GROUP, LIST_BYTES } from './shader/steps.ts';

/** Paths that are followed at a time: some times what a card holds at once, so that none of it waits for the longest. */
const SLOTS = 1 << 18;
const SLOTS_SOFTWARE = 1 << 9;
/** bytes that throughputs may take: with very many colourways fewer paths are followed at a time */
const THROUGHPUT_BYTES = 256 << 20;

export interface Slots {
  count: number;
  held: GPUBuffer;
  throughputs: GPUBuffer;
  /** runs taken, and of each portion those done; then what lists are kept by */
  counts: GPUBuffer;
  lists: GPUBuffer;
}

export interface CompiledPaths {
  vertex: Program;
  /** where the scene has any */
  stones: Program | undefined;
  rays: Program;
}

export interface PathPrograms {
  vertex: Dispatch;
  stones: Dispatch | undefined;
  rays: Dispatch;
}

/** @param samples where no more will be followed in one go */
export function layOutSlots({ device, facts }: Gpu, colourways: number, samples = Infinity): Slots {
  const coloured = partBytes({ colourways: Math.max(1, colourways), matte: false });
  const most = Math.min(
    facts.software ? SLOTS_SOFTWARE : SLOTS,
    Math.floor(THROUGHPUT_BYTES / coloured),
    2 ** Math.ceil(Math.log2(samples)),
  );
  // lists are rings of a power of two
  const count = Math.max(GROUP, 2 ** Math.floor(Math.log2(most)));
  const storage = (size: number) => storageBuffer(device, size);
  return {
    count,
    held: storage(count * SLOT_BYTES),
    throughputs: storage(count * coloured),
    counts: storage(COUNT_BYTES),
    lists: storage(count * LIST_BYTES),
  };
}

export function dropSlots({ held, throughputs, counts, lists }: Slots): void {
  for (const b of [held, throughputs, counts, lists]) b.destroy();
}

/** Compiles what follows paths through the scene. Rejects where the driver refuses. */
export async function compilePaths(
  device: GPUDevice,
  scene: GpuScene,
  planes: BatchPlanes,
): Promise<CompiledPaths> {
  const [vertex, stones, rays] = await Promise.all([
    program(device, vertexProgram(planes, scene), 'nextVertex'),
    scene.has.STONES ? program(device, stoneProgram(planes, scene), 'passStones') : undefined,
    program(device, rayProgram(scene), 'followRays'),
  ]);
  return { vertex, stones, rays };
}

export function bindPaths(
  device: GPUDevice,
  { vertex, stones, rays }: CompiledPaths,
  scene: GpuScene,
  { tiles, parts, job, slots }: { tiles: GPUBuffer; parts: GPUBuffer; job: GPUBuffer; slots: Slots },
): PathPrograms {
  const { held, throughputs, counts, lists } = slots;
  const rest = { 3: job, 4: tiles, 5: parts, 6: counts, 7: held, 8: throughputs, 9: lists };
  const all = { ...sceneBindings(scene), ...rest };
  return {
    vertex: bound(device, vertex, all),
    rays: bound(device, rays, all),
    stones: stones && bound(device, stones, all),
  };
}

/** Of `counts` what tells how far works are. */
export const REACHED_BYTES = 4 * (1 + PORTIONS);

/** The runs of samples that have been taken, those of all portions that there were, and of each the runs that are done. */
export function reached(counts: ArrayBuffer): { taken: number; done: number[] } {
  const [taken, ...done] = new Uint32Array(counts);
  return { taken, done };
}

/** Counts a portion's runs that are done from the beginning, for another job. */
export function countAnew({ queue }: GPUDevice, { counts }: Slots, portion: number): void {
  queue.writeBuffer(counts, 4 * (1 + portion), Uint32Array.of(0));
}

/** Empties all slots, for the samples of another pass. */
export function emptySlots(commands: GPUCommandEncoder, { count, held, counts }: Slots): void {
  commands.clearBuffer(counts);
  commands.clearBuffer(held, 0, count * PLANE_BYTES);
}

/** Takes the paths of all slots so many vertices further; a slot that is done with its run of samples takes the next. */
export function takeSteps(
  compute: GPUComputePassEncoder,
  { vertex, stones, rays }: PathPrograms,
  { count }: Slots,
  steps: number,
): void {
  for (let i = 0; i < steps; i++) {
    dispatch(compute, vertex, count / GROUP);
    dispatch(compute, rays, count / GROUP);
    if (stones) dispatch(compute, stones, count / GROUP);
  }
}
