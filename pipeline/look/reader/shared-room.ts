import type { TreeRoom } from '../../tracer/acceleration.ts';

/** As much more memory as other bands take while they are shaped. */
const SPARE = 1.2;

/** Shared memory by name, used again from scene to scene: fresh memory costs more than what is written into it. */
export class SharedRoom implements TreeRoom {
  private readonly kept = new Map<string, SharedArrayBuffer>();

  floats(name: string, count: number): Float32Array {
    return new Float32Array(this.memory(name, 4 * count), 0, count);
  }

  words(name: string, count: number): Uint32Array {
    return new Uint32Array(this.memory(name, 4 * count), 0, count);
  }

  private memory(name: string, bytes: number): SharedArrayBuffer {
    const kept = this.kept.get(name);
    if (kept && kept.byteLength >= bytes) return kept;
    const fresh = new SharedArrayBuffer(4 * Math.ceil((SPARE * bytes) / 4));
    this.kept.set(name, fresh);
    return fresh;
  }
}
