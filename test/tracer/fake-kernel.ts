import type { TraceScene } from '../../pipeline/scene/trace-scene.ts';

/**
 * Stands in for the kernel where a test needs light whose true value and variance are known, or a kernel that is
 * slow, fails or hangs. It reads its part from the scene's dome:
 * [mean, standard deviation of a sample, ms per call, mode (0 works, 1 throws in load, 2 throws in render, 3 hangs)].
 * Colourway c is 1 + c times as bright. Like the real one it is pure in (pixel, sample, seed).
 */
export class KernelHost {
  static async create(_wasm?: WebAssembly.Module): Promise<KernelHost> {
    return new KernelHost();
  }

  private part: number[] = [];
  colourways = 0;

  load(scene: TraceScene): void {
    this.part = [...scene.dome];
    this.colourways = scene.colourways.length;
    if (this.part[3] === 1) throw new Error('a scene this kernel cannot load');
  }

  image(): unknown {
    return { part: this.part, colourways: this.colourways };
  }

  adopt(image: { part: number[]; colourways: number }): void {
    Object.assign(this, image);
  }

  render(
    x: number,
    y: number,
    w: number,
    h: number,
    from: number,
    to: number,
    seed: number,
    rgb: Float32Array,
  ): number {
    const [mean, deviation, delay, mode] = this.part;
    if (mode === 2) throw new Error('a kernel that fails');
    pass(mode === 3 ? Number.POSITIVE_INFINITY : delay);
    let at = 0;
    for (let c = 0; c < this.colourways; c++) {
      for (let py = y; py < y + h; py++) {
        for (let px = x; px < x + w; px++, at += 3) {
          let sum = 0;
          for (let s = from; s < to; s++) sum += mean + deviation * normal(px, py, s, seed);
          rgb[at] = rgb[at + 1] = rgb[at + 2] = sum * (1 + c);
        }
      }
    }
    return w * h * (to - from);
  }
}

/** Lets so many ms pass in the midst of a call, as work does, but leaves the processor to others. */
function pass(ms: number): void {
  if (ms > 0) Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, ms);
}

/** Uniform in (0, 1) from integers (the finaliser of MurmurHash3). */
function uniform(a: number, b: number, c: number, d: number): number {
  let h =
    Math.imul(a, 0x9e3779b1) ^ Math.imul(b, 0x85ebca77) ^ Math.imul(c, 0xc2b2ae3d) ^ Math.imul(d, 0x27d4eb2f);
  h = Math.imul(h ^ (h >>> 16), 0x85ebca6b);
  h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35);
  return ((h ^ (h >>> 16)) >>> 0) / 4294967296 + 1e-10;
}

/** Standard normal by Box and Muller (1958). */
function normal(x: number, y: number, sample: number, seed: number): number {
  const u = uniform(x, y, sample, seed);
  const v = uniform(y + 7919, x, sample + 104729, seed);
  return Math.sqrt(-2 * Math.log(u)) * Math.cos(2 * Math.PI * v);
}
