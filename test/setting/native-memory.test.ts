import loadModule from 'manifold-3d';
import { expect, it } from 'vitest';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import type { SolidKernel } from '../../pipeline/setting/solid-kernel.ts';
import { straightRowDesign } from './stone-designs.ts';

/** A fresh boolean engine together with its linear memory, caught as the module is instantiated. */
async function kernelWithMemory() {
  const original = WebAssembly.instantiate;
  let memory: WebAssembly.Memory | undefined;
  const watch = async (...args: Parameters<typeof original>) => {
    const result = await original(...args);
    const instance = 'instance' in result ? (result.instance as WebAssembly.Instance) : result;
    memory ??= Object.values(instance.exports as object).find((e) => e instanceof WebAssembly.Memory);
    return result;
  };
  WebAssembly.instantiate = watch as typeof original;
  try {
    const kernel = await loadModule();
    kernel.setup();
    return { kernel, memory: memory! };
  } finally {
    WebAssembly.instantiate = original;
  }
}

/** The same engine, but it fails when the claws are to be joined. */
function failing(kernel: SolidKernel): SolidKernel {
  const union = () => {
    throw new Error('the engine failed');
  };
  const Manifold = new Proxy(kernel.Manifold, {
    get: (target, key) => (key === 'union' ? union : Reflect.get(target, key)),
  });
  return new Proxy(kernel, {
    get: (target, key) => (key === 'Manifold' ? Manifold : Reflect.get(target, key)),
  });
}

it('native memory is steady over many shapes, failing ones among them', async () => {
  const { kernel, memory } = await kernelWithMemory();
  const coverage = { kind: 'arc', angleRad: 1.3 } as const;
  const design = straightRowDesign({ diameterMm: 2, coverage }, { chordToleranceMm: 0.05 });
  const sizes: number[] = [];
  for (let i = 0; i < 20; i++) {
    await buildShape(design, kernel);
    await expect(buildShape(design, failing(kernel))).rejects.toThrow('the engine failed');
    sizes.push(memory.buffer.byteLength);
  }
  expect(sizes.at(-1)).toBe(sizes[7]);
});
