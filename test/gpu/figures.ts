/** Figures of a card beside the cores of its host, for the bench and for machines that have nothing but a bundle. */
import type { TraceScene } from '../../pipeline/scene/trace-scene.ts';
import { adapterName, type Gpu } from '../../pipeline/tracer/gpu/device.ts';
import { GpuQuery } from '../../pipeline/tracer/gpu/gpu-queries.ts';
import { dropScene, loadScene } from '../../pipeline/tracer/gpu/gpu-scene.ts';
import { CLOSEST } from '../../pipeline/tracer/gpu/shader/queries.ts';
import type { KernelHost } from '../../pipeline/tracer/kernel-host.ts';
import { primaryRays, ringMesh, scatteredRays } from '../bench/ring-scene.ts';
import { bareScene } from '../tracer/kernel-scenes.ts';
import { type Agreement, agreement } from './agreement.ts';
import { byCard, byKernel, type Traced, tileMeans } from './films.ts';
import { SCENES } from './scenes.ts';

export interface Figures {
  gpu: Gpu;
  host: KernelHost;
  /** the bench's band, square */
  scene(side: number, colourways?: number): Promise<TraceScene>;
  quality: { noise: number; passCap: number; seed: number };
  /** paths a second of two cores, one colourway */
  cores: number;
  record(name: string, value: number, unit?: string): void;
  say(line: string): void;
}

const SIDE = 1500;
const COLOURWAYS = 16;
const PASSES = 128;
/** that wake a card which has rested while programs were compiled */
const WAKING = 16;
/** of the largest film there is a goal for */
const LARGE = 1600;
/** on which engines are compared: films and samples of each */
const SEEDS = 16;
const SAMPLES = 256;
/** times that all rays are followed in one stretch, and ms until a card is awake */
const STRETCH = 200;
const AWAKE = 500;

export async function cardFigures(figures: Figures): Promise<void> {
  const { gpu, cores, record, say } = figures;
  say(adapterName(gpu.facts));
  const one = await passes(figures, 1);
  const many = await passes(figures, COLOURWAYS);
  record('gpu_paths_ratio', one.end.paths / (one.trace / 1000) / cores, 'times two cores, one colourway');
  record('gpu_colourways_ratio', many.trace / one.trace, `time of ${COLOURWAYS} colourways in units of one`);
  record(
    'gpu_pipelines_s',
    many.engage / 1000,
    `s until ${COLOURWAYS} colourways are ready, programs and scene`,
  );
  const large = await passes(figures, COLOURWAYS, LARGE, 8);
  record('gpu_memory_gb', large.bytes / 1e9, `GB on the card, ${LARGE}² in ${COLOURWAYS} colourways`);
  const { noise, passCap, seed } = figures.quality;
  const whole = await figures.scene(SIDE);
  figures.host.load(whole);
  await byCard(gpu, figures.host, whole, { seed, passCap: 4, filtered: true });
  const { end, trace, fetch, engage, look } = await byCard(gpu, figures.host, whole, {
    seed,
    passCap,
    noiseTarget: noise,
    filtered: true,
  });
  record(
    'gpu_clean_hero_s',
    (engage + trace + fetch + look) / 1000,
    `s for ${SIDE}², all colourways, to ${100 * noise} % noise as judged for filtering, programs built`,
  );
  say(
    `ready ${engage.toFixed(0)} ms, traced ${trace.toFixed(0)}, fetched ${fetch.toFixed(0)}, looked ${look.toFixed(0)}; ${whole.colourways.length} colourways, target ${noise}, reached ${end.error.toFixed(4)}, ${(end.paths / 1e6).toFixed(0)} M paths, at most ${end.passes} a pixel`,
  );
  record('gpu_incoherent_mrays', await incoherent(figures), 'million rays a second');
  await compared(figures);
}

/** Times of passes by a card that is awake, and of engaging it when its programs were not there. */
async function passes({ gpu, host, scene }: Figures, colourways: number, side = SIDE, passCap = PASSES) {
  const wanted = await scene(side, colourways);
  host.load(wanted);
  const { engage } = await byCard(gpu, host, wanted, { seed: 1, passCap: WAKING });
  return { ...(await byCard(gpu, host, wanted, { seed: 1, passCap })), engage };
}

/** Films of small scenes that use every law of light there is, against the kernel's. */
async function compared({ gpu, host, record, say }: Figures): Promise<void> {
  const found: Agreement[] = [];
  for (const [name, make] of Object.entries(SCENES)) {
    const scene = make();
    host.load(scene);
    const films = async (by: (seed: number) => Promise<Traced>) => {
      const means: Float64Array[] = [];
      for (let seed = 1; seed <= SEEDS; seed++) means.push(tileMeans((await by(seed)).film));
      return means;
    };
    const card = (seed: number) => byCard(gpu, host, scene, { seed, passCap: SAMPLES });
    const one = agreement(
      await films((seed) => byKernel(host, scene, { seed, passCap: SAMPLES })),
      await films(card),
      await films((seed) => card(seed + 1000)),
    );
    say(`${name}: ${JSON.stringify(one)}`);
    found.push(one);
  }
  const most = (of: (one: Agreement) => number) => Math.max(...found.map((one) => Math.abs(of(one))));
  const passes = SEEDS * SAMPLES;
  record(
    'gpu_tile_apart',
    most((o) => o.tileSame),
    `share of a tile's light, ${passes} samples of the same seeds`,
  );
  record(
    'gpu_mean_t2',
    most((o) => o.meanT2),
    'largest mean of t² of a scene, other seeds',
  );
  record(
    'gpu_worst_t',
    most((o) => o.worstT),
    `of ${found.reduce((n, o) => n + o.tests, 0)} tiles`,
  );
}

async function incoherent({ gpu, host, say }: Figures): Promise<number> {
  const mesh = ringMesh();
  host.load(
    bareScene({
      mesh,
      surfaces: [{ alphaX: 1, alphaY: 1, metal: 0, axis: [0, 1, 0] }],
      colourways: [{ metals: [{ f0: [1, 1, 1], f82: [1, 1, 1] }], gems: [] }],
    }),
  );
  const primary = primaryRays(1024);
  const rays = scatteredRays(mesh, primary, host.closest(primary)).incoherent;
  const scene = loadScene(gpu, host.image());
  const asked = await GpuQuery.open(gpu, scene, CLOSEST, rays as Float32Array<ArrayBuffer>);
  await asked.run();
  const found = new Uint32Array((await asked.read()).buffer);
  const some = host.closest(rays.subarray(0, 6 * 20_000));
  const others = some.primitive.filter((p, i) => p !== found[2 * i + 1]).length;
  say(`${others} of 20000 rays meet something else than the kernel's`);
  // A card that rests clocks low and takes its time to wake: half a second of work is not measured, and each measured
  // stretch is long beside what a submission costs.
  const times: number[] = [];
  const rested = performance.now();
  const speeds: number[] = [];
  while (times.length < 7) {
    const begun = performance.now();
    await asked.run(STRETCH);
    const ms = (performance.now() - begun) / STRETCH;
    speeds.push(rays.length / 6 / ms / 1000);
    if (begun - rested > AWAKE) times.push(ms);
  }
  dropScene(scene);
  say(`first ${speeds[0].toFixed(0)}, last ${speeds.at(-1)?.toFixed(0)} Mray/s`);
  times.sort((a, b) => a - b);
  return rays.length / 6 / times[3] / 1000;
}
