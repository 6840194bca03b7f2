/** What a browser's page is given to compare engines in itself: by whatever card it has, which may be a processor. */
import { type AdapterFacts, openGpu } from '../../pipeline/tracer/gpu/device.ts';
import { KernelHost } from '../../pipeline/tracer/kernel-host.ts';
import { byCard, byKernel, difference, wholeDifference } from './films.ts';
import { type ProbeResult, runProbes } from './probes.ts';
import { CLEAR, probeScene, SCENES } from './scenes.ts';

export interface FilmResult {
  name: string;
  /** root mean square of films of the same seed, and of another one */
  same: number;
  other: number;
  /** largest difference of a channel's sum over the frame, of films of the same seed */
  whole: number;
  /** ms of the card: programs compiled, passes traced */
  engage: number;
  trace: number;
  /** error estimates of both films of the same seed */
  errors: [number, number];
}

export interface EngineResults {
  facts: AdapterFacts;
  probes: ProbeResult[];
  films: FilmResult[];
}

async function compareEngines({ passes }: { passes: number }): Promise<EngineResults> {
  const gpu = await openGpu(navigator.gpu);
  if (!gpu) throw new Error('the browser has no card to give');
  const host = await KernelHost.create(await WebAssembly.compileStreaming(fetch('kernel.wasm')));
  host.load(probeScene());
  const probes = await runProbes(gpu, host);
  const films: FilmResult[] = [];
  for (const [name, make] of Object.entries(SCENES)) {
    // programs for a matte take as long to compile as all the others: a take of the session has one
    if (name === CLEAR) continue;
    const scene = make();
    host.load(scene);
    const kernel = await byKernel(host, scene, { seed: 5, passCap: passes });
    const another = await byKernel(host, scene, { seed: 6, passCap: passes });
    const card = await byCard(gpu, host, scene, { seed: 5, passCap: passes });
    films.push({
      name,
      same: difference(card.film, kernel.film),
      other: difference(another.film, kernel.film),
      whole: wholeDifference(card.film, kernel.film),
      engage: card.engage,
      trace: card.trace,
      errors: [card.end.error, kernel.end.error],
    });
  }
  return { facts: gpu.facts, probes, films };
}

Object.assign(globalThis, { compareEngines });
