/** What a picture is traced with: the one place in which the page starts it. */
import { LookCrew } from './crew.ts';

/** Kernels of a picture; more than this hardly share out a small frame. */
const MOST_HANDS = 16;

let modules: Promise<{ kernel: WebAssembly.Module; filter: WebAssembly.Module }> | undefined;

/** Workers with a kernel each, for one picture. The modules are fetched once for the page. */
export async function startTracer(): Promise<LookCrew> {
  modules ??= fetchModules();
  const hands = Math.max(1, Math.min(MOST_HANDS, navigator.hardwareConcurrency || 1));
  return LookCrew.engage(await modules, hands);
}

async function fetchModules() {
  const [kernel, filter] = await Promise.all(
    ['kernel.wasm', 'filter.wasm'].map((name) => WebAssembly.compileStreaming(fetch(name))),
  );
  return { kernel, filter };
}
