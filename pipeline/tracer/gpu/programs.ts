/** The engine's programs, put together from the parts in shader/, which follow the kernel's files one by one. */
import { type SceneTraits, traitConstants } from './scene-traits.ts';
import { bodies } from './shader/body.ts';
import { colours } from './shader/colours.ts';
import { features } from './shader/features.ts';
import { type BatchPlanes, fold, job, trace } from './shader/film.ts';
import { frames } from './shader/frame.ts';
import { groundVertex } from './shader/ground-vertex.ts';
import { irradiances } from './shader/irradiance.ts';
import { memory } from './shader/memory.ts';
import { metal } from './shader/metal.ts';
import { metalVertex } from './shader/metal-vertex.ts';
import { path } from './shader/path.ts';
import { pathState } from './shader/path-state.ts';
import { patterns } from './shader/pattern.ts';
import { reliefs } from './shader/relief.ts';
import { sampling } from './shader/sampling.ts';
import { skies } from './shader/sky.ts';
import { stones } from './shader/stone.ts';
import { stoneVertex } from './shader/stone-vertex.ts';
import { studio } from './shader/studio.ts';
import { tree } from './shader/tree.ts';

/** Laws and queries. */
export const laws = (scene: SceneTraits) =>
  [
    traitConstants(scene),
    memory,
    sampling,
    metal,
    frames,
    reliefs,
    patterns,
    skies,
    stones,
    bodies,
    studio,
    irradiances,
    tree(scene.depth),
  ].join('\n');

/** @param planes whose colours ride on a path */
const paths = (scene: SceneTraits, planes: number) =>
  [laws(scene), job, colours(planes), pathState, metalVertex, stoneVertex, groundVertex, path].join('\n');

export const traceProgram = (batch: BatchPlanes, scene: SceneTraits) =>
  [paths(scene, Math.max(1, batch.colourways)), trace(batch)].join('\n');

/** What pixels show; of colours it needs none. */
export const featuresProgram = (scene: SceneTraits) => [paths(scene, 1), features].join('\n');

export const foldProgram = (batch: BatchPlanes) => [job, fold(batch)].join('\n');

const kept = new WeakMap<GPUDevice, Map<string, Promise<GPUComputePipeline>>>();

/** The compiled program; takes of one device and batches of one kind share theirs. Rejects where the driver refuses it. */
export function program(device: GPUDevice, code: string, entryPoint: string): Promise<GPUComputePipeline> {
  const programs = kept.get(device) ?? new Map<string, Promise<GPUComputePipeline>>();
  kept.set(device, programs);
  const found = programs.get(code);
  if (found) return found;
  const module = device.createShaderModule({ code });
  const made = device.createComputePipelineAsync({ layout: 'auto', compute: { module, entryPoint } });
  programs.set(code, made);
  return made;
}
