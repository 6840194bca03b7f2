/**
 * How clean a film looks: its difference from a reference of many times the paths, as a viewer sees it. Both go through
 * the display transform, then a blur of one pixel in linear light, and are compared by CIEDE2000.
 *
 * References are of seeds of their own and are kept in output/clean-references/ under a key of their scene. They are the
 * truth for every engine and kernel, so their key names no code; `MEANT` is raised when pictures are meant to change.
 */
import { createHash } from 'node:crypto';
import { mkdirSync, readFileSync, renameSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { developFilm, PAPER_WHITE } from '../../pipeline/picture/develop.ts';
import { WHITE_LEVEL } from '../../pipeline/scene/ground.ts';
import type { KernelHost } from '../../pipeline/tracer/kernel-host.ts';
import { encodeScene } from '../../pipeline/tracer/scene-blob.ts';
import { deltaE2000 } from '../../pipeline/trade/colour-difference.ts';
import { labOf } from '../../pipeline/trade/colour-table.ts';
import { CLASSES, type CleanScene, CROP, type PixelClass } from './clean-scenes.ts';

const FOLDER = 'output/clean-references';
const MEANT = 1;
const SEEDS = [0x5eed0001, 0x5eed0002] as const;
/** passes between two looks at the clock: a reference that is cut short goes on from there */
const STRETCH = 64;
const BLOCK = 16;
/** colour difference that a shopper sees as a speck */
const SPECK = 5;
/** Gaussian of σ = 1 px */
const BLUR = [0, 1, 2, 3].map((x) => Math.exp((-x * x) / 2));

/** Linear RGB of each colourway. */
export type Planes = readonly Float32Array[];

export interface Reference {
  planes: Planes;
  /** of one seed alone, half of the paths each */
  halves: readonly [Planes, Planes];
}

/** Traces what of it is not kept yet: `passes` of each of two seeds. `say` is told now and then. */
export function cleanReference(
  scene: CleanScene,
  host: KernelHost,
  passes: number,
  say: (line: string) => void = () => {},
): Reference {
  const halves = SEEDS.map((seed) => longFilm(scene, host, passes / 2, seed, say)) as [Planes, Planes];
  const planes = halves[0].map((a, c) => a.map((v, i) => (v + halves[1][c][i]) / 2));
  return { planes, halves };
}

function longFilm(
  { scene, name, x, y }: CleanScene,
  host: KernelHost,
  passes: number,
  seed: number,
  say: (line: string) => void,
): Planes {
  const key = createHash('sha256')
    .update(encodeScene(scene))
    .update(JSON.stringify([MEANT, x, y, CROP, seed]));
  const file = join(FOLDER, `${name}-${key.digest('hex').slice(0, 24)}`);
  const size = CROP * CROP * 3;
  const sums = new Float64Array(size * scene.colourways.length);
  let done = 0;
  // the most that is kept and not more than asked for
  for (let n = passes; n > 0 && done === 0; n -= STRETCH) {
    const kept = read(`${file}-${n}`);
    if (kept?.length !== sums.length * 4) continue;
    new Float32Array(kept.buffer, kept.byteOffset, sums.length).forEach((v, i) => {
      sums[i] = v * n;
    });
    done = n;
  }
  const block = new Float32Array(sums.length);
  while (done < passes) {
    const to = Math.min(passes, done + STRETCH);
    host.render(x, y, CROP, CROP, done, to, seed, block);
    for (let i = 0; i < sums.length; i++) sums[i] += block[i];
    done = to;
    mkdirSync(FOLDER, { recursive: true });
    if (done % 256 === 0 || done === passes) {
      const mean = Float32Array.from(sums, (v) => v / done);
      writeFileSync(`${file}.tmp`, new Uint8Array(mean.buffer));
      renameSync(`${file}.tmp`, `${file}-${done}`);
      say(`${name}: ${done} of ${passes} passes of a reference`);
    }
  }
  return scene.colourways.map((_, c) =>
    Float32Array.from(sums.subarray(c * size, (c + 1) * size), (v) => v / done),
  );
}

function read(file: string): Uint8Array | undefined {
  try {
    return new Uint8Array(readFileSync(file));
  } catch {
    return undefined;
  }
}

export interface CleanError {
  /** mean CIEDE2000 */
  deltaE: number;
  /** share of pixels over `SPECK` */
  over: number;
  /** mean CIEDE2000 between the means of 16 × 16 pixels, counted by what of the class lies in them */
  blocks: number;
  pixels: number;
}

export interface CleanErrors extends Record<PixelClass, CleanError> {
  /** of L* over blocks of 16 × 16 pixels, mean (Wang et al., IEEE Trans. Image Processing 13(4), 2004) */
  ssim: number;
}

/** Over all colourways. */
export function cleanErrors(film: Planes, reference: Planes, classes: Uint8Array): CleanErrors {
  const parts = film.map((plane, c) => errorsOf(plane, reference[c], classes));
  const mean = (pick: (e: CleanErrors) => number) => parts.reduce((s, e) => s + pick(e), 0) / parts.length;
  const of = (name: PixelClass): CleanError => ({
    deltaE: mean((e) => e[name].deltaE),
    over: mean((e) => e[name].over),
    blocks: mean((e) => e[name].blocks),
    pixels: parts[0][name].pixels,
  });
  return { ground: of('ground'), metal: of('metal'), stone: of('stone'), ssim: mean((e) => e.ssim) };
}

function errorsOf(film: Float32Array, reference: Float32Array, classes: Uint8Array): CleanErrors {
  const a = seen(film);
  const b = seen(reference);
  const sums = CLASSES.map(() => ({ deltaE: 0, over: 0, blocks: 0, pixels: 0 }));
  for (let p = 0; p < classes.length; p++) {
    const d = deltaE2000(labAt(a, p), labAt(b, p));
    const sum = sums[classes[p]];
    sum.deltaE += d;
    sum.over += d > SPECK ? 1 : 0;
    sum.pixels++;
  }
  let ssim = 0;
  const blocks = CROP / BLOCK;
  for (let block = 0; block < blocks * blocks; block++) {
    const inside = pixelsOf(block, blocks);
    const d = deltaE2000(labOfMean(a, inside), labOfMean(b, inside));
    for (const p of inside) sums[classes[p]].blocks += d;
    ssim +=
      ssimOf(
        inside.map((p) => labAt(a, p)[0]),
        inside.map((p) => labAt(b, p)[0]),
      ) /
      blocks ** 2;
  }
  const [ground, metal, stone] = sums.map((s) => ({
    deltaE: s.deltaE / Math.max(1, s.pixels),
    over: s.over / Math.max(1, s.pixels),
    blocks: s.blocks / Math.max(1, s.pixels),
    pixels: s.pixels,
  }));
  return { ground, metal, stone, ssim };
}

/** Light from the display after a blur of one pixel, RGB, 1 = paper white. */
function seen(film: Float32Array): Float32Array {
  const { data } = developFilm({ width: CROP, height: CROP, data: film }, WHITE_LEVEL);
  const once = blurred(data, 3, CROP);
  return blurred(once, CROP * 3, CROP).map((v) => v / PAPER_WHITE);
}

/** Along one axis of a square picture; what lies outside counts as not there. */
function blurred(data: Float32Array, stride: number, side: number): Float32Array {
  const out = new Float32Array(data.length);
  for (let i = 0; i < data.length; i++) {
    const at = Math.floor(i / stride) % side;
    let sum = 0;
    let weight = 0;
    for (let d = -3; d <= 3; d++) {
      if (at + d < 0 || at + d >= side) continue;
      const w = BLUR[Math.abs(d)];
      sum += w * data[i + d * stride];
      weight += w;
    }
    out[i] = sum / weight;
  }
  return out;
}

const labAt = (picture: Float32Array, p: number) =>
  labOf([picture[3 * p], picture[3 * p + 1], picture[3 * p + 2]]);

function labOfMean(picture: Float32Array, pixels: readonly number[]) {
  const sum: [number, number, number] = [0, 0, 0];
  for (const p of pixels) for (let k = 0; k < 3; k++) sum[k] += picture[3 * p + k] / pixels.length;
  return labOf(sum);
}

function pixelsOf(block: number, blocks: number): number[] {
  const x = (block % blocks) * BLOCK;
  const y = Math.floor(block / blocks) * BLOCK;
  return Array.from(
    { length: BLOCK * BLOCK },
    (_, i) => (y + Math.floor(i / BLOCK)) * CROP + x + (i % BLOCK),
  );
}

function ssimOf(a: readonly number[], b: readonly number[]): number {
  const mean = (v: readonly number[]) => v.reduce((s, x) => s + x, 0) / v.length;
  const [ma, mb] = [mean(a), mean(b)];
  let [va, vb, ab] = [0, 0, 0];
  for (let i = 0; i < a.length; i++) {
    va += (a[i] - ma) ** 2 / a.length;
    vb += (b[i] - mb) ** 2 / a.length;
    ab += ((a[i] - ma) * (b[i] - mb)) / a.length;
  }
  // of a range of 100
  const [c1, c2] = [1, 9];
  return ((2 * ma * mb + c1) * (2 * ab + c2)) / ((ma * ma + mb * mb + c1) * (va + vb + c2));
}
