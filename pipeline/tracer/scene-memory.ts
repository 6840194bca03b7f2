import type { TraceScene } from '../scene/trace-scene.ts';

/** Where the loaded scene lies in the kernel's memory. */
export interface SceneMemory {
  colourways: number;
}

export function layScene(scene: TraceScene, _memory: WebAssembly.Memory): SceneMemory {
  return { colourways: scene.colourways.length };
}
