/**
 * The engine on a machine with a card and without this repository's packages: bundled by device-bundle.sh, with scenes of
 * write-scenes.ts. Compares films with the kernel's and measures. Prints JSON lines.
 */
import { execFile, fork } from 'node:child_process';
import { readFile, writeFile } from 'node:fs/promises';
import { promisify } from 'node:util';
import { LookCard } from '../../pipeline/look/reader/card.ts';
import type { TraceScene } from '../../pipeline/scene/trace-scene.ts';
import { meanFilm } from '../../pipeline/tracer/film-state.ts';
import { dawn } from '../../pipeline/tracer/gpu/dawn.ts';
import { adapterName, type Gpu, openGpu } from '../../pipeline/tracer/gpu/device.ts';
import { KernelHost } from '../../pipeline/tracer/kernel-host.ts';
import { filmPlanes } from '../../pipeline/tracer/matte.ts';
import { decodeScene } from '../../pipeline/tracer/scene-blob.ts';
import { agreement } from './agreement.ts';
import { cardFigures } from './figures.ts';
import { byCard, byKernel, difference, featuresApart, tileMeans, wholeDifference } from './films.ts';
import { runProbes } from './probes.ts';
import { probeScene, SCENES } from './scenes.ts';

const [mode, ...args] = process.argv.slice(2);
const here = process.env.BUNDLE ?? '.';
const say = (line: unknown) => console.log(JSON.stringify(line));
const host = await KernelHost.create(await WebAssembly.compile(await readFile(`${here}/kernel.wasm`)));

async function sceneOf(name: string, size: number, colourways?: number): Promise<TraceScene> {
  const bytes = new Uint8Array(await readFile(`${here}/gpuscenes/${name}.bin`));
  const whole = decodeScene(bytes.buffer);
  const count =
    colourways === Infinity ? whole.colourways.length : (colourways ?? Math.min(4, whole.colourways.length));
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

/** Paths a second of one colourway by the kernel, in a process of its own on this core. */
async function coreSpeed(core: number, name: string): Promise<number> {
  const { stdout } = await promisify(execFile)('taskset', [
    '-c',
    String(core),
    process.execPath,
    process.argv[1],
    'cpu-speed',
    name,
    '10',
    '1',
  ]);
  return JSON.parse(stdout).pathsPerSecond;
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
  const [name, seconds, colourways] = args;
  const scene = await sceneOf(name, 1500, Number(colourways));
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
    say({
      compare: name,
      passes: Number(passes) * seeds.length,
      ...agreement(cpu, same, other),
      pathsPerSecond: last && last.end.paths / (last.trace / 1000),
    });
  }
  process.exit(0);
} else if (mode === 'speed') {
  // speed SIDE SAMPLES scene:colourways …
  const gpu = await openCard();
  say({ adapter: adapterName(gpu.facts), binding: gpu.binding });
  const [side, samples, ...wanted] = args;
  for (const [name, colourways] of wanted.map((w) => w.split(':'))) {
    const scene = await sceneOf(name, Number(side), Number(colourways));
    host.load(scene);
    const run = await byCard(gpu, host, scene, { seed: 1, passCap: Number(samples) });
    say({
      speed: name,
      ...{ side: Number(side), colourways: Number(colourways) },
      engageMs: run.engage,
      fetchMs: run.fetch,
      pathsPerSecond: run.end.paths / (run.trace / 1000),
      megabytes: run.bytes / 1e6,
      batches: run.batches,
    });
  }
} else if (mode === 'figures') {
  const [name, noise, passCap] = args;
  const cores = (await Promise.all([2, 3].map((core) => coreSpeed(core, name)))).reduce((a, b) => a + b);
  const gpu = await openCard();
  const quality = { noise: Number(noise), passCap: Number(passCap), seed: 1 };
  const scene = (side: number, colourways?: number) => sceneOf(name, side, colourways ?? Infinity);
  const record = (name: string, value: number, unit?: string) => say({ [name]: value, unit });
  await cardFigures({ gpu, host, scene, quality, cores, record, say });
} else if (mode === 'probes') {
  const gpu = await openCard();
  host.load(probeScene());
  for (const result of await runProbes(gpu, host)) say(result);
  for (const [name, make] of Object.entries(SCENES).filter(([n]) => args.every((a) => n.includes(a)))) {
    const scene = make();
    host.load(scene);
    const wanted = { seed: 5, passCap: 64, filtered: true };
    const kernel = await byKernel(host, scene, wanted);
    const card = await byCard(gpu, host, scene, wanted);
    const same = difference(card.film, kernel.film);
    const seen = kernel.film.seen.filter((what, pixel) => what !== card.film.seen[pixel]).length;
    const features = featuresApart(
      card.features as Float32Array,
      host.features(0, 0, scene.width, scene.height, 5),
    );
    const errors = card.end.error / kernel.end.error;
    say({ film: name, same, whole: wholeDifference(card.film, kernel.film), seen, features, errors });
  }
} else if (mode === 'batches') {
  // a card that binds no more than one plane at a time
  const gpu = await openCard();
  const scene = await sceneOf('clear', 640, 3);
  host.load(scene);
  const wanted = { seed: 1, passCap: 16 };
  const whole = await byCard(gpu, host, scene, wanted);
  const binding = Math.max(host.image().bytes.byteLength, scene.width * scene.height * 12);
  const parts = await byCard({ ...gpu, binding }, host, scene, wanted);
  say({ batches: [whole.batches, parts.batches], differ: difference(parts.film, whole.film) });
} else if (mode === 'turn') {
  // the live view's card at a turning band: turn NAME side:samples …
  const [name, ...wanted] = args;
  const wasm = await WebAssembly.compile(await readFile(`${here}/kernel.wasm`));
  const card = await LookCard.open(await dawn(), wasm, process.env.SOFTWARE === '1');
  if (!card) throw new Error('no card');
  const scene = await sceneOf(name, 480, 1);
  host.load(scene);
  const { mesh: _, cuts: __, stones: ___, ...still } = scene;
  card.compose({ image: host.image(), still });
  for (const [side, samples] of wanted.map((w) => w.split(':').map(Number))) {
    const size = { width: side, height: Math.round((side * scene.height) / scene.width) };
    const ms: number[] = [];
    const laid: number[] = [];
    let missed = 0;
    for (let i = 0; ms.length < 60 && missed < 500; i++) {
      const begun = performance.now();
      card.turn({ angle: i * 0.05, rise: 0 }, size.width, size.height);
      laid.push(performance.now() - begun);
      const again = performance.now();
      if (await card.turned({ angle: i * 0.05, rise: 0 }, size, { seed: 1, samples, colourway: 0 }))
        ms.push(performance.now() - again);
      else {
        missed++;
        await new Promise((resolve) => setTimeout(resolve, 50));
      }
    }
    const median = (all: number[]) => all.sort((a, b) => a - b)[all.length >> 1];
    say({
      turn: name,
      ...{ side, samples, medianMs: median(ms), slowestMs: ms.at(-1), laidMs: median(laid), missed },
      works: card.works,
    });
  }
  card.close();
} else if (mode === 'session') {
  // takes as \`make\` asks for them, by a process of Node with the card, or by a browser that is there
  const [name, noise, passCap, ...sides] = args;
  const cardHost = process.env.CARD_HOST === 'browser' ? 'browser' : 'node';
  const { createTracerSession } = await import('../../pipeline/tracer/session.ts');
  const softwareCard = process.env.SOFTWARE === '1';
  const session = await createTracerSession({ engine: 'webgpu', cardHost, softwareCard });
  say({ card: await session.card() });
  for (const side of sides.map(Number)) {
    const scene = await sceneOf(name, side, Infinity);
    const begun = performance.now();
    let planes = 0;
    const { by, paths, error, seconds } = await session.trace(scene, {
      ...{ seed: 1, noiseTarget: Number(noise), passCap: Number(passCap), filtered: true, guide: true },
      onFilm: async () => {
        planes++;
      },
    });
    say({ take: name, side, wall: (performance.now() - begun) / 1000, seconds, paths, error, planes, by });
  }
  await session.close();
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
        meanFilm(film, 0),
      );
  }
}
if (mode !== 'cpu-means') process.exit(0);
