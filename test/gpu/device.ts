/**
 * The engine on a machine with a card and without this repository's packages: bundled by device-bundle.sh, with scenes of
 * write-scenes.ts. Compares films with the kernel's and measures. Prints JSON lines.
 */
import { fork } from 'node:child_process';
import { readFile, writeFile } from 'node:fs/promises';
import type { TraceScene } from '../../pipeline/scene/trace-scene.ts';
import { developFilm } from '../../pipeline/tracer/film-state.ts';
import { dawn } from '../../pipeline/tracer/gpu/dawn.ts';
import { adapterName, type Gpu, openGpu } from '../../pipeline/tracer/gpu/device.ts';
import { GpuQuery } from '../../pipeline/tracer/gpu/gpu-queries.ts';
import { dropScene, loadScene } from '../../pipeline/tracer/gpu/gpu-scene.ts';
import { CLOSEST, OCCLUDED } from '../../pipeline/tracer/gpu/shader/queries.ts';
import { KernelHost } from '../../pipeline/tracer/kernel-host.ts';
import { filmPlanes } from '../../pipeline/tracer/matte.ts';
import { decodeScene } from '../../pipeline/tracer/scene-blob.ts';
import { primaryRays, ringMesh, scatteredRays } from '../bench/ring-scene.ts';
import { bareScene } from '../tracer/kernel-scenes.ts';
import { byCard, byKernel, difference, tileMeans, wholeDifference } from './films.ts';
import { runProbes } from './probes.ts';
import { probeScene, SCENES } from './scenes.ts';

const [mode, ...args] = process.argv.slice(2);
const here = process.env.BUNDLE ?? '.';
const say = (line: unknown) => console.log(JSON.stringify(line));
const host = await KernelHost.create(await WebAssembly.compile(await readFile(`${here}/kernel.wasm`)));

async function sceneOf(name: string, size: number, colourways?: number): Promise<TraceScene> {
  const bytes = new Uint8Array(await readFile(`${here}/gpuscenes/${name}.bin`));
  const whole = decodeScene(bytes.buffer);
  const count = colourways ?? Math.min(4, whole.colourways.length);
  return {
    ...whole,
    width: size,
    height: Math.round((size * whole.height) / whole.width),
    colourways: Array.from({ length: count }, (_, i) => whole.colourways[i % whole.colourways.length]),
  };
}

/** The kernel's tile means for several seeds, each in a process of its own. */
async function cpuMeans(
  name: string,
  size: number,
  seeds: number[],
  passes: number,
): Promise<Float64Array[]> {
  return Promise.all(
    seeds.map(
      (seed) =>
        new Promise<Float64Array>((resolve, reject) => {
          const child = fork(
            process.argv[1],
            ['cpu-means', name, String(size), String(seed), String(passes)],
            {
              serialization: 'advanced',
            },
          );
          child.once('message', (m) => resolve(m as Float64Array));
          child.once('error', reject);
          child.once('exit', (code) => code && reject(new Error(`exit ${code}`)));
        }),
    ),
  );
}

async function openCard(): Promise<Gpu> {
  const gpu = await openGpu(await dawn(process.env.DAWN ? [process.env.DAWN] : []));
  if (!gpu) throw new Error('no adapter');
  gpu.device.addEventListener('uncapturederror', (event) =>
    console.log('GPU ERROR', (event as GPUUncapturedErrorEvent).error.message.slice(0, 1500)),
  );
  return gpu;
}

if (mode === 'cpu-means') {
  const [name, size, seed, passes] = args;
  const scene = await sceneOf(name, Number(size));
  host.load(scene);
  const { film } = await byKernel(host, scene, { seed: Number(seed), passCap: Number(passes) });
  process.send?.(tileMeans(film), () => process.exit(0));
} else if (mode === 'cpu-speed') {
  const [name, seconds] = args;
  const scene = await sceneOf(name, 1500);
  host.load(scene);
  const scratch = new Float32Array(64 * 64 * 3 * filmPlanes(scene));
  let paths = 0;
  const begun = performance.now();
  // places all over the frame
  for (let i = 0; performance.now() - begun < Number(seconds) * 1000; i++) {
    const x = ((i * 37) % 93) * 16;
    const y = ((i * 53) % 93) * 16;
    paths += host.render(x, y, 16, 16, 0, 32, 7, scratch.subarray(0, 16 * 16 * 3 * filmPlanes(scene)));
  }
  say({ cpu: name, pathsPerSecond: paths / ((performance.now() - begun) / 1000) });
} else if (mode === 'compare') {
  const [size, passes, seedCount, ...names] = args;
  const gpu = await openCard();
  for (const name of names) {
    const scene = await sceneOf(name, Number(size));
    host.load(scene);
    const seeds = Array.from({ length: Number(seedCount) }, (_, i) => i + 1);
    const cpu = await cpuMeans(name, Number(size), seeds, Number(passes));
    const same: Float64Array[] = [];
    const other: Float64Array[] = [];
    let last: Awaited<ReturnType<typeof byCard>> | undefined;
    for (const seed of seeds) {
      last = await byCard(gpu, host, scene, { seed, passCap: Number(passes) });
      same.push(tileMeans(last.film));
      const apart = await byCard(gpu, host, scene, { seed: seed + 1000, passCap: Number(passes) });
      other.push(tileMeans(apart.film));
    }
    const n = seeds.length;
    const mean = (of: Float64Array[], i: number) => of.reduce((s, m) => s + m[i], 0) / n;
    const variance = (of: Float64Array[], i: number) =>
      of.reduce((s, m) => s + (m[i] - mean(of, i)) ** 2, 0) / (n - 1);
    let [t2, worst, tests, paired, region] = [0, 0, 0, 0, 0];
    for (let i = 0; i < cpu[0].length; i++) {
      const a = mean(cpu, i);
      const b = mean(other, i);
      const spread = variance(cpu, i) + variance(other, i);
      if (a > 0.02) {
        paired = Math.max(paired, Math.abs(mean(same, i) / a - 1));
        region = Math.max(region, Math.abs(b / a - 1));
      }
      if (!(spread > 1e-12 * a * a)) continue;
      const t = (b - a) / Math.sqrt(spread / n);
      t2 += t * t;
      worst = Math.max(worst, Math.abs(t));
      tests++;
    }
    const whole = (of: Float64Array[]) => of.reduce((s, m) => s + m.reduce((x, y) => x + y, 0), 0);
    say({
      compare: name,
      passes: Number(passes) * n,
      worstTileSameSeeds: paired,
      worstTileOtherSeeds: region,
      wholeSame: whole(same) / whole(cpu) - 1,
      wholeOther: whole(other) / whole(cpu) - 1,
      tests,
      meanT2: t2 / tests,
      worstT: worst,
      engageMs: last?.engage,
      pathsPerSecond: last && last.end.paths / (last.trace / 1000),
    });
  }
  process.exit(0);
} else if (mode === 'speed') {
  const gpu = await openCard();
  say({ adapter: adapterName(gpu.facts), software: gpu.facts.software, binding: gpu.binding });
  const side = Number(args[0] ?? 1500);
  for (const colourways of args.length > 1 ? args.slice(1).map(Number) : [1, 4, 16]) {
    const scene = await sceneOf('hero', side, colourways);
    host.load(scene);
    const run = await byCard(gpu, host, scene, { seed: 1, passCap: 128 });
    say({
      hero: colourways,
      engageMs: run.engage,
      fetchMs: run.fetch,
      pathsPerSecond: run.end.paths / (run.trace / 1000),
      megabytes: run.bytes / 1e6,
      batches: run.batches,
    });
  }
} else if (mode === 'clean') {
  const gpu = await openCard();
  const [noise, cap] = args.map(Number);
  const scene = await sceneOf('hero', 1500, 4);
  host.load(scene);
  const { film, end, engage, trace, fetch } = await byCard(gpu, host, scene, {
    seed: 1,
    passCap: cap,
    noiseTarget: noise,
  });
  say({ clean: noise, engage, trace, fetch, ...end });
  if (process.env.OUT)
    await writeFile(
      `${process.env.OUT}/hero.rgb`,
      new Uint8Array(film.sum.buffer, film.sum.byteOffset, 1500 * 1500 * 12),
    );
} else if (mode === 'probes') {
  const gpu = await openCard();
  host.load(probeScene());
  for (const result of await runProbes(gpu, host)) say(result);
  for (const [name, make] of Object.entries(SCENES)) {
    const scene = make();
    host.load(scene);
    const kernel = await byKernel(host, scene, { seed: 5, passCap: 64 });
    const card = await byCard(gpu, host, scene, { seed: 5, passCap: 64 });
    const same = difference(card.film, kernel.film);
    say({ film: name, same, whole: wholeDifference(card.film, kernel.film) });
  }
} else if (mode === 'pictures') {
  const gpu = await openCard();
  const [size, passes, ...names] = args;
  for (const name of names) {
    const scene = await sceneOf(name, Number(size), 1);
    host.load(scene);
    const wanted = { passCap: Number(passes), noiseTarget: 0 };
    const films = {
      cpu: (await byKernel(host, scene, { seed: 1, ...wanted })).film,
      card: (await byCard(gpu, host, scene, { seed: 2, ...wanted })).film,
    };
    for (const [engine, film] of Object.entries(films))
      await writeFile(
        `${process.env.OUT}/${name}-${scene.width}x${scene.height}-${engine}.f32`,
        developFilm(film, 0),
      );
  }
} else if (mode === 'rays') {
  const gpu = await openCard();
  const mesh = ringMesh();
  const scene = bareScene({
    mesh,
    surfaces: [{ alphaX: 1, alphaY: 1, metal: 0, axis: [0, 1, 0] }],
    colourways: [{ metals: [{ f0: [1, 1, 1], f82: [1, 1, 1] }], gems: [] }],
  });
  host.load(scene);
  const primary = primaryRays(1024);
  const scattered = scatteredRays(mesh, primary, host.closest(primary));
  const onGpu = loadScene(gpu, host.image());
  for (const [kind, rays, query] of [
    ['primary', primary, CLOSEST],
    ['incoherent', scattered.incoherent, CLOSEST],
    ['occlusion', scattered.occlusion, OCCLUDED],
  ] as const) {
    const count = rays.length / 6;
    const some = host.closest(rays.slice(0, 6 * 20000));
    const asked = await GpuQuery.open(gpu, onGpu, query, rays as Float32Array<ArrayBuffer>);
    await asked.run();
    const found = await asked.read();
    let wrong = 0;
    if (query === CLOSEST) {
      const ids = new Uint32Array(found.buffer);
      for (let i = 0; i < 20000; i++) if (ids[2 * i + 1] !== some.primitive[i]) wrong++;
    } else for (let i = 0; i < 20000; i++) if (found[i] > 0 !== (some.primitive[i] !== 0xffffffff)) wrong++;
    const times: number[] = [];
    for (let i = 0; i < 7; i++) {
      const begun = performance.now();
      await asked.run(40);
      times.push((performance.now() - begun) / 40);
    }
    times.sort((a, b) => a - b);
    say({
      rays: kind,
      count,
      otherOf20000: wrong,
      mraysPerSecond: count / times[3] / 1000,
      spread: [times[0], times[6]],
    });
  }
  dropScene(onGpu);
}
if (mode !== 'cpu-means') process.exit(0);
