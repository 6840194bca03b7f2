/** The engine's programs, put together from the parts in shader/, which follow the kernel's files one by one. */
import { colours } from './shader/colours.ts';
import { features } from './shader/features.ts';
import { type Batch, fold, job, trace } from './shader/film.ts';
import { frames } from './shader/frame.ts';
import { groundVertex } from './shader/ground-vertex.ts';
import { irradiances } from './shader/irradiance.ts';
import { memory } from './shader/memory.ts';
import { metal } from './shader/metal.ts';
import { metalVertex } from './shader/metal-vertex.ts';
import { path } from './shader/path.ts';
import { pathState } from './shader/path-state.ts';
import { reliefs } from './shader/relief.ts';
import { sampling } from './shader/sampling.ts';
import { skies } from './shader/sky.ts';
import { slices } from './shader/slices.ts';
import { stones } from './shader/stone.ts';
import { stoneVertex } from './shader/stone-vertex.ts';
import { studio } from './shader/studio.ts';
import { subgroupsWanted, together } from './shader/together.ts';
import { tree } from './shader/tree.ts';

/** What programs must know beforehand of scene and adapter. */
export interface Beforehand {
  /** entries of the stack that a walk down the tree needs */
  depth: number;
  /** invocations can do things together */
  subgroups: boolean;
}

/** Laws and queries. */
export const laws = ({ depth, subgroups }: Beforehand) =>
  [
    subgroupsWanted(subgroups),
    ...[memory, sampling, metal, frames, reliefs, skies, stones, studio, irradiances],
    together(subgroups),
    tree(depth),
  ].join('\n');

/** @param planes whose colours ride on a path */
const paths = (known: Beforehand, planes: number) =>
  [laws(known), job, colours(planes), pathState, metalVertex, stoneVertex, groundVertex, path].join('\n');

export const traceProgram = (batch: Batch, known: Beforehand) =>
  [paths(known, Math.max(1, batch.colourways)), slices, trace(batch, known.subgroups)].join('\n');

/** What pixels show; of colours it needs none. */
export const featuresProgram = (known: Beforehand) =>
  [paths(known, 1), features(known.subgroups)].join('\n');

export const foldProgram = (planes: number) => [job, fold(planes)].join('\n');

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
