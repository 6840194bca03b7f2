import { readFile } from 'node:fs/promises';
import { dawn } from '../../pipeline/tracer/gpu/dawn.ts';
import { openGpu } from '../../pipeline/tracer/gpu/device.ts';
import { GpuCrew } from '../../pipeline/tracer/gpu/gpu-crew.ts';
import { KernelHost } from '../../pipeline/tracer/kernel-host.ts';
import { filmState, developFilm } from '../../pipeline/tracer/film-state.ts';
import { PassShare, scratchFor } from '../../pipeline/tracer/pass-share.ts';
import { traceTake } from '../../pipeline/tracer/film-take.ts';
import { buildFiles } from '../../pipeline/tracer/built-files.mjs';
import { trialScene } from '../../pipeline/tracer/trial-scene.ts';
import { filmPlanes } from '../../pipeline/tracer/matte.ts';
import { decodeScene } from '../../pipeline/tracer/scene-blob.ts';

const [name, sizeText = '48', samplesText = '64'] = process.argv.slice(2);
const size = Number(sizeText);
const built = await buildFiles();
const host = await KernelHost.create(await WebAssembly.compile(await readFile(built.kernel)));
let scene = trialScene(size, size);
if (name !== 'trial') {
  const whole = decodeScene(new Uint8Array(await readFile(`/tmp/gpuscenes/${name}.bin`)).buffer) as typeof scene;
  scene = { ...whole, width: size, height: Math.round((size * whole.height) / whole.width) };
}
const gpu = await openGpu(await dawn([]));
if (!gpu) throw new Error('none');
gpu.device.addEventListener('uncapturederror', (e: any) => console.log('GPU ERROR', e.error.message.slice(0, 3000)));
console.log(gpu.facts, gpu.binding);
host.load(scene);
const dims = { width: scene.width, height: scene.height, colourways: filmPlanes(scene) };
const options = { seed: 5, noiseTarget: 0, passCap: Number(samplesText), every: 1e6, onProgress() {} };
async function cpu(seed: number) {
  const film = filmState(dims);
  const share = new PassShare(film);
  const scratch = scratchFor(film);
  const end = await traceTake(film, share, { workers: 1, work: async (pass) => share.work(film, host, pass, scratch) }, { ...options, seed });
  return { film, end };
}
async function card(seed: number) {
  const film = filmState(dims);
  const share = new PassShare(film);
  let t = performance.now();
  const crew = await GpuCrew.engage(gpu!, host.image(), film, share);
  console.log('engage', performance.now() - t);
  t = performance.now();
  const end = await traceTake(film, share, crew, { ...options, seed });
  console.log('trace', performance.now() - t, crew.use);
  await crew.fetch();
  return { film, end };
}
const a = await card(5);
const b = await cpu(5);
const c = await cpu(6);
console.log('gpu', a.end, 'cpu', b.end);
for (let plane = 0; plane < dims.colourways; plane++) {
  const fa = developFilm(a.film, plane), fb = developFilm(b.film, plane), fc = developFilm(c.film, plane);
  const mean = (f: Float32Array, k: number) => { let s = 0; for (let i = k; i < f.length; i += 3) s += f[i]; return s / (f.length / 3); };
  let dab = 0, dbc = 0, same = 0;
  for (let i = 0; i < fa.length; i++) { dab += (fa[i] - fb[i]) ** 2; dbc += (fb[i] - fc[i]) ** 2; if (Math.abs(fa[i] - fb[i]) < 1e-4 * (1 + Math.abs(fb[i]))) same++; }
  console.log(plane, [0, 1, 2].map((k) => (mean(fa, k) / mean(fb, k) - 1).toExponential(2)), [0, 1, 2].map((k) => (mean(fc, k) / mean(fb, k) - 1).toExponential(2)), 'rms', Math.sqrt(dab / fa.length).toExponential(2), Math.sqrt(dbc / fa.length).toExponential(2), 'same', (same / fa.length).toFixed(3));
}
process.exit(0);
