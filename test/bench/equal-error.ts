/**
 * Time to an equal error against a long reference of another seed: with and without adaptive stopping, and with the
 * kernel's Owen-scrambled points against plain random ones. Errors are relative to luminance, per tile of 16 × 16 pixels.
 *
 * Plain random points come from the same kernel: sample 0 of a freshly seeded sequence is one uniform random point.
 */
import type { TraceScene } from '../../pipeline/scene/trace-scene.ts';
import { TILE } from '../../pipeline/tracer/film-state.ts';
import type { KernelHost } from '../../pipeline/tracer/kernel-host.ts';
import { createNodeTracer } from '../../pipeline/tracer/node-tracer.ts';
import { kernel } from '../tracer/kernel-fixture.ts';
import { renderFrame } from './colourways.ts';
import { demoScene } from './demo-band.ts';
import type { Measurement, Workbench } from './measurement.ts';

const SIDE = 96;
const TARGET = 0.07;
/** below this, in film units, luminance counts as this */
const FLOOR = 0.12;
const LUMA = [0.2126, 0.7152, 0.0722]; // Rec. ITU-R BT.709

export const equalError: Measurement = {
  name: 'equal-error',
  about: 'adaptive stopping and Owen-scrambled points, at equal error against a long reference',
  async run(bench) {
    const host = await kernel();
    const scene = await demoScene(SIDE, 1);
    host.load(scene);
    const long = bench.quick ? 128 : 1024;
    const reference = renderFrame(host, SIDE, 0, long, 99).map((v) => v / long);
    points(bench, host, reference);
    await stopping(bench, host, scene, reference);
  },
};

function points({ quick, record, say }: Workbench, host: KernelHost, reference: Float32Array): void {
  const most = quick ? 16 : 64;
  const owen = new Float32Array(reference.length);
  const plain = new Float32Array(reference.length);
  for (let n = 1; n <= most; n++) {
    addTo(owen, renderFrame(host, SIDE, n - 1, n, 7));
    addTo(plain, renderFrame(host, SIDE, 0, 1, 1000 + n));
    if (n !== 4 && n !== 16 && n !== 64) continue;
    const a = rms(tileErrors(owen, n, reference));
    const b = rms(tileErrors(plain, n, reference));
    say(`${n} samples: error ${a.toFixed(4)} scrambled, ${b.toFixed(4)} random`);
    record(`owen_gain_${n}`, (b / a) ** 2, 'times fewer samples than plain random');
  }
}

async function stopping(
  { record, say }: Workbench,
  host: KernelHost,
  scene: TraceScene,
  reference: Float32Array,
): Promise<void> {
  let before = process.cpuUsage();
  const result = await createNodeTracer([host]).trace(scene, { seed: 5, noiseTarget: TARGET, passCap: 800 });
  const adaptive = spent(before);
  const reached = high(tileErrors(result.films[0].data, 1, reference));

  before = process.cpuUsage();
  const sum = new Float32Array(reference.length);
  let n = 0;
  let error = Infinity;
  while (error > reached && n < 1600) {
    addTo(sum, renderFrame(host, SIDE, n, n + 16, 5));
    n += 16;
    error = high(tileErrors(sum, n, reference));
  }
  const even = spent(before);
  const mean = result.paths / SIDE ** 2;
  say(
    `19 of 20 tiles within ${reached.toFixed(3)}: ${adaptive.toFixed(1)} s adaptive (${mean.toFixed(0)} samples a pixel), ${even.toFixed(1)} s evenly (${n})`,
  );
  record('adaptive_gain', even / adaptive, 'times the time without adaptive stopping');
}

function spent(before: NodeJS.CpuUsage): number {
  const { user, system } = process.cpuUsage(before);
  return (user + system) / 1e6;
}

function addTo(sum: Float32Array, block: Float32Array): void {
  for (let i = 0; i < sum.length; i++) sum[i] += block[i];
}

/** Relative error of each tile of a film given as sums of `samples`. */
function tileErrors(sum: Float32Array, samples: number, reference: Float32Array): number[] {
  const tiles = SIDE / TILE;
  const squares = new Array<number>(tiles * tiles).fill(0);
  for (let p = 0; p < SIDE * SIDE; p++) {
    let variance = 0;
    let luminance = FLOOR;
    for (let k = 0; k < 3; k++) {
      variance += LUMA[k] * (sum[3 * p + k] / samples - reference[3 * p + k]) ** 2;
      luminance += LUMA[k] * reference[3 * p + k];
    }
    const tile = Math.floor(p / SIDE / TILE) * tiles + Math.floor((p % SIDE) / TILE);
    squares[tile] += variance / luminance ** 2 / TILE ** 2;
  }
  return squares.map(Math.sqrt);
}

function rms(errors: number[]): number {
  return Math.sqrt(errors.reduce((s, e) => s + e * e, 0) / errors.length);
}

/** What 19 of 20 tiles stay below. */
function high(errors: number[]): number {
  return [...errors].sort((a, b) => a - b)[Math.floor(errors.length * 0.95)];
}
