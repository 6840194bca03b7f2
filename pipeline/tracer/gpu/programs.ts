/** The engine's programs, put together from the parts in shader/, which follow the kernel's files one by one. */
import { reachable } from './reachable.ts';
import { type SceneTraits, traitConstants } from './scene-traits.ts';
import { bodies } from './shader/body.ts';
import { colours } from './shader/colours.ts';
import { features } from './shader/features.ts';
import { type BatchPlanes, fold, job } from './shader/film.ts';
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
import { slots, slotted } from './shader/slots.ts';
import { followRays, lists, nextVertex, passStones } from './shader/steps.ts';
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

/** @param colourways that ride on a path */
const paths = (scene: SceneTraits, colourways: number) =>
  [
    laws(scene),
    job,
    slots,
    lists,
    colours(colourways),
    pathState,
    metalVertex,
    stoneVertex,
    groundVertex,
    path,
    slotted,
  ].join('\n');

export const vertexProgram = (batch: BatchPlanes, scene: SceneTraits) =>
  [paths(scene, batch.colourways), nextVertex(batch)].join('\n');

export const stoneProgram = (batch: BatchPlanes, scene: SceneTraits) =>
  [paths(scene, batch.colourways), passStones].join('\n');

/** Of traits it uses stones alone, so that scenes share it. */
export const rayProgram = (scene: SceneTraits) => [laws(scene), job, slots, lists, followRays].join('\n');

/** What pixels show; of colours it needs none. */
export const featuresProgram = (scene: SceneTraits) => [paths(scene, 1), features].join('\n');

export const foldProgram = (batch: BatchPlanes) => [job, fold(batch)].join('\n');

/** A compiled program, and the bindings of what it uses. */
export interface Program {
  pipeline: GPUComputePipeline;
  uses: number[];
}

const kept = new WeakMap<GPUDevice, Map<string, Promise<Program>>>();

/** The compiled program; takes of one device and batches of one kind share theirs. Rejects where the driver refuses it. */
export function program(device: GPUDevice, parts: string, entryPoint: string): Promise<Program> {
  const code = reachable(parts, entryPoint);
  const programs = kept.get(device) ?? new Map<string, Promise<Program>>();
  kept.set(device, programs);
  const found = programs.get(code);
  if (found) return found;
  const module = device.createShaderModule({ code });
  const uses = Array.from(code.matchAll(/@binding\((\d+)\)/g), ([, at]) => Number(at));
  const made = device
    .createComputePipelineAsync({ layout: 'auto', compute: { module, entryPoint } })
    .then((pipeline) => ({ pipeline, uses }));
  programs.set(code, made);
  return made;
}

/** A program and what it works on. */
export interface Dispatch {
  pipeline: GPUComputePipeline;
  bindings: GPUBindGroup;
}

/** @param buffers by their binding; the program needn't use all of them */
export function bound(
  device: GPUDevice,
  { pipeline, uses }: Program,
  buffers: Record<number, GPUBuffer>,
): Dispatch {
  const bindings = device.createBindGroup({
    layout: pipeline.getBindGroupLayout(0),
    entries: uses.map((binding) => ({ binding, resource: { buffer: buffers[binding] } })),
  });
  return { pipeline, bindings };
}

/** Runs a program in so many groups: in two dimensions where one, which holds 65,535, is too short. */
export function dispatch(
  compute: GPUComputePassEncoder,
  { pipeline, bindings }: Dispatch,
  groups: number,
): void {
  compute.setPipeline(pipeline);
  compute.setBindGroup(0, bindings);
  const x = Math.min(groups, 32768);
  compute.dispatchWorkgroups(x, Math.ceil(groups / x));
}
