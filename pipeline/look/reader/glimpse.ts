/**
 * A band that turns, as its card traces and shows it: a few samples of every pixel in one colourway, and of them only what
 * is to be painted comes back. No film is kept.
 */
import { DESATURATION, F90, pbrNeutral, START } from '../../picture/tone.ts';
import { WHITE_LEVEL } from '../../scene/ground.ts';
import { TILE } from '../../tracer/film-state.ts';
import type { Gpu } from '../../tracer/gpu/device.ts';
import type { GpuScene } from '../../tracer/gpu/gpu-scene.ts';
import {
  bindPaths,
  type CompiledPaths,
  compilePaths,
  dropSlots,
  emptySlots,
  layOutSlots,
  type PathPrograms,
  REACHED_BYTES,
  reached,
  type Slots,
  takeSteps,
} from '../../tracer/gpu/paths.ts';
import { bound, type Dispatch, dispatch, type Program, program } from '../../tracer/gpu/programs.ts';
import { group } from '../../tracer/gpu/shader/colours.ts';
import { JOB_BYTES, job, jobWords, partBytes } from '../../tracer/gpu/shader/film.ts';
import type { Size } from './coarse-size.ts';

/** in most pictures all paths have ended by then: to ask costs less than steps with none */
const firstSteps = (samples: number, { count }: Slots): number => Math.ceil((4 * samples) / count) + 60;
const FURTHER_STEPS = 60;

const BATCH = { colourways: 1, matte: false };

/** The display transform of the pictures: picture/tone.ts and picture/srgb.ts. */
const develop = /* wgsl */ `
${group(1)}
${job}
@group(0) @binding(4) var<storage, read> tiles: array<u32>;
@group(0) @binding(5) var<storage, read> parts: array<Colours>;
/* RGBA, row by row */
@group(0) @binding(6) var<storage, read_write> codes: array<u32>;

fn curve(light: vec3f) -> vec3f {
  let c = clamp(light, vec3f(0.0), vec3f(1e6));
  let least = min(c.r, min(c.g, c.b));
  let most = max(c.r, max(c.g, c.b));
  let coat = select(${F90}, least - least * least / ${4 * F90}, least <= ${2 * F90});
  let peak = most - coat;
  var v = c * select(0.0, peak / most, most > 0.0);
  if (peak > ${START}) {
    let lower = 1.0 - ${(1 - START) ** 2} / (peak + ${1 - 2 * START});
    let keep = 1.0 / (${DESATURATION} * (peak - lower) + 1.0);
    v = v * (lower / peak) * keep + lower * (1.0 - keep);
  }
  return v / max(${pbrNeutral(WHITE_LEVEL, WHITE_LEVEL, WHITE_LEVEL)[0]}, max(v.r, max(v.g, v.b)));
}

fn encoded(v: vec3f) -> vec3f {
  return select(1.055 * pow(v, vec3f(1.0 / 2.4)) - 0.055, 12.92 * v, v <= vec3f(0.0031308));
}

fn mixed(v: u32) -> u32 {
  let a = (v ^ (v >> 16u)) * 0x21f0aaadu;
  let b = (a ^ (a >> 15u)) * 0x735a2d97u;
  return b ^ (b >> 15u);
}

fn triangular(pixel: vec2u) -> f32 {
  let first = mixed((pixel.x * 0x9e3779b1u) ^ ((pixel.y + 0x7f4a7c15u) * 0x85ebca77u));
  let second = mixed(first ^ 0x68bc21ebu);
  return (f32(first) - f32(second)) / 4294967296.0;
}

@compute @workgroup_size(256)
fn develop(@builtin(workgroup_id) id: vec3u, @builtin(local_invocation_index) here: u32) {
  let tile = tiles[id.x];
  let x = here % TILE;
  let y = here / TILE;
  let pixel = vec2u((tile % job.tilesX) * TILE + x, (tile / job.tilesX) * TILE + y);
  if (pixel.x >= job.width || pixel.y >= job.height) { return; }
  let inTile = (x & 7u) | ((x & 8u) << 2u) | ((y & 3u) << 3u) | ((y & 12u) << 4u);
  var light = vec3f(0.0);
  for (var s = 0u; s < job.end; s++) {
    let part = parts[(id.x * job.end + s) * TILE_PIXELS + inTile];
    light += vec3f(part.r, part.g, part.b);
  }
  let code = 255.0 * encoded(floor(curve(light / f32(job.end)) * 65535.0 + 0.5) / 65535.0);
  let dithered = select(vec3f(0.0), floor(code + 0.5 + triangular(pixel)), code >= vec3f(0.5));
  let whole = vec3u(select(clamp(dithered, vec3f(0.0), vec3f(255.0)), vec3f(255.0), code >= vec3f(254.5)));
  codes[pixel.y * job.width + pixel.x] = whole.r | (whole.g << 8u) | (whole.b << 16u) | 0xff000000u;
}
`;

/** In what comes back: after the counts, where a range may begin that is looked into. */
const CODES_AT = 8 * Math.ceil(REACHED_BYTES / 8);

interface Sized extends Size {
  samples: number;
  tiles: number;
  /** samples of all pixels, those of tiles beyond the frame too, each a run of its own */
  runs: number;
  buffers: Record<'tiles' | 'parts' | 'job' | 'codes' | 'stage', GPUBuffer>;
  slots: Slots;
  paths: PathPrograms;
  develop: Dispatch;
}

export class Glimpse {
  private readonly gpu: Gpu;
  private readonly scene: GpuScene;
  private readonly paths: CompiledPaths;
  private readonly develop: Program;
  private sized: Sized | undefined;

  /** Compiles what it needs, unless this device has before. Rejects where the driver refuses. */
  static async create(gpu: Gpu, scene: GpuScene): Promise<Glimpse> {
    const [paths, shown] = await Promise.all([
      compilePaths(gpu.device, scene, BATCH),
      program(gpu.device, develop, 'develop'),
    ]);
    return new Glimpse(gpu, scene, paths, shown);
  }

  private constructor(gpu: Gpu, scene: GpuScene, paths: CompiledPaths, develop: Program) {
    this.gpu = gpu;
    this.scene = scene;
    this.paths = paths;
    this.develop = develop;
  }

  /** The scene as it lies on the card. @returns sRGB codes and full opacity, row by row */
  async take(
    size: Size,
    { seed, samples, colourway }: { seed: number; samples: number; colourway: number },
  ): Promise<Uint8ClampedArray<ArrayBuffer>> {
    const { device } = this.gpu;
    const sized = this.sizedFor(size, samples);
    const { width, height, runs, buffers, slots } = sized;
    const fields = jobWords({
      seed,
      end: samples,
      portions: [{ run: 1, runs }],
      begun: runs,
      colour: colourway,
      slots: slots.count,
      width,
      height,
      tilesX: Math.ceil(width / TILE),
    });
    device.queue.writeBuffer(buffers.job, 0, fields);
    let codes: Uint8ClampedArray<ArrayBuffer> | undefined;
    let steps = firstSteps(runs, slots);
    for (let begins = true; !codes; begins = false) {
      codes = await this.show(sized, steps, begins);
      steps = FURTHER_STEPS;
    }
    return codes;
  }

  /** Takes the samples' paths so many steps on and paints them. @returns undefined while some are under way */
  private async show(
    { width, height, tiles, runs, buffers, slots, paths, develop }: Sized,
    steps: number,
    begins: boolean,
  ): Promise<Uint8ClampedArray<ArrayBuffer> | undefined> {
    const { codes, stage } = buffers;
    const commands = this.gpu.device.createCommandEncoder();
    if (begins) emptySlots(commands, slots);
    const compute = commands.beginComputePass();
    takeSteps(compute, paths, slots, steps);
    dispatch(compute, develop, tiles);
    compute.end();
    const bytes = width * height * 4;
    commands.copyBufferToBuffer(slots.counts, 0, stage, 0, REACHED_BYTES);
    commands.copyBufferToBuffer(codes, 0, stage, CODES_AT, bytes);
    this.gpu.device.queue.submit([commands.finish()]);
    await stage.mapAsync(GPUMapMode.READ);
    const { done } = reached(stage.getMappedRange(0, REACHED_BYTES));
    const shown = done[0] >= runs ? stage.getMappedRange(CODES_AT, bytes).slice(0) : undefined;
    stage.unmap();
    return shown && new Uint8ClampedArray(shown);
  }

  destroy(): void {
    if (!this.sized) return;
    for (const buffer of Object.values(this.sized.buffers)) buffer.destroy();
    dropSlots(this.sized.slots);
    this.sized = undefined;
  }

  /** Buffers for such pictures; those of the last ones are kept. */
  private sizedFor({ width, height }: Size, samples: number): Sized {
    const { sized } = this;
    if (sized?.width === width && sized.height === height && sized.samples === samples) return sized;
    this.destroy();
    const { device } = this.gpu;
    const tiles = Math.ceil(width / TILE) * Math.ceil(height / TILE);
    const runs = tiles * TILE * TILE * samples;
    const { STORAGE, COPY_DST, COPY_SRC, MAP_READ, UNIFORM } = GPUBufferUsage;
    const buffer = (size: number, usage: number) => device.createBuffer({ size, usage });
    const pixels = width * height * 4;
    const buffers = {
      tiles: buffer(tiles * 4, STORAGE | COPY_DST),
      parts: buffer(runs * partBytes(BATCH), STORAGE),
      job: buffer(JOB_BYTES, UNIFORM | COPY_DST),
      codes: buffer(pixels, STORAGE | COPY_SRC),
      stage: buffer(CODES_AT + pixels, MAP_READ | COPY_DST),
    };
    device.queue.writeBuffer(
      buffers.tiles,
      0,
      Uint32Array.from({ length: tiles }, (_, i) => i),
    );
    const { tiles: list, parts, job, codes } = buffers;
    const slots = layOutSlots(this.gpu, 1, runs);
    this.sized = {
      width,
      height,
      samples,
      tiles,
      runs,
      buffers,
      slots,
      paths: bindPaths(device, this.paths, this.scene, { tiles: list, parts, job, slots }),
      develop: bound(device, this.develop, { 3: job, 4: list, 5: parts, 6: codes }),
    };
    return this.sized;
  }
}
