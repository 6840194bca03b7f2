/** Writing the kernel's memory from JavaScript. */

/** Hands out stretches of memory one after another. */
export class MemoryPlan {
  end: number;

  constructor(start: number) {
    this.end = start;
  }

  take(bytes: number, align = 16): number {
    const start = Math.ceil(this.end / align) * align;
    this.end = start + bytes;
    return start;
  }
}

/** Grows the memory until it holds this many bytes. */
export function reserve(memory: WebAssembly.Memory, bytes: number): void {
  const missing = bytes - memory.buffer.byteLength;
  if (missing > 0) memory.grow(Math.ceil(missing / 65536));
}

export class MemoryView {
  readonly bytes: Uint8Array;
  private readonly f32: Float32Array;
  private readonly u32: Uint32Array;

  constructor(buffer: ArrayBuffer) {
    this.bytes = new Uint8Array(buffer);
    this.f32 = new Float32Array(buffer);
    this.u32 = new Uint32Array(buffer);
  }

  zero(from: number, to: number): void {
    this.bytes.fill(0, from, to);
  }

  floats(offset: number, ...values: number[]): void {
    this.f32.set(values, offset / 4);
  }

  words(offset: number, ...values: number[]): void {
    this.u32.set(values, offset / 4);
  }

  array(offset: number, values: Float32Array): void {
    this.f32.set(values, offset / 4);
  }
}

export function bytesOf(a: Float32Array | Uint32Array | Uint16Array): Uint8Array {
  return new Uint8Array(a.buffer, a.byteOffset, a.byteLength);
}
