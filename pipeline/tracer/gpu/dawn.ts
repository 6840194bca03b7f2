/**
 * WebGPU in this very process, by Dawn's build for Node: the npm package `webgpu`, which is not installed unless asked for
 * (137 MB for five systems), for servers with a card and without a browser that can use it.
 */
interface Dawn {
  create(flags: string[]): GPU;
  globals: Record<string, unknown>;
}

/** kept for good: what it has given out breaks when it goes */
let opened: GPU | undefined;

/** undefined where the package is not installed or its library does not load */
export async function dawn(flags: string[] = []): Promise<GPU | undefined> {
  if (opened) return opened;
  // by a name that compilers don't follow: it is nobody's dependency
  const name = 'webgpu';
  const module: Dawn | undefined = await import(name).catch(() => undefined);
  if (!module) return undefined;
  Object.assign(globalThis, module.globals);
  opened = module.create(flags);
  return opened;
}
