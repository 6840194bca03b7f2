/** Single laws and ray queries on the card, for tests and the bench. */
import type { Gpu } from './device.ts';
import type { GpuScene } from './gpu-scene.ts';
import { laws } from './programs.ts';
import { reachable } from './reachable.ts';
import type { Query } from './shader/queries.ts';

/** A query with its numbers on the card, which may be run again and again. */
export class GpuQuery {
  private readonly gpu: Gpu;
  private readonly pipeline: GPUComputePipeline;
  private readonly bindings: GPUBindGroup;
  private readonly found: GPUBuffer;
  private readonly count: number;

  /** @param numbers `inputs` floats an invocation */
  static async open(
    gpu: Gpu,
    scene: GpuScene,
    query: Query,
    numbers: Float32Array<ArrayBuffer>,
  ): Promise<GpuQuery> {
    const { device } = gpu;
    // every buffer is touched, so that all programs have one layout
    const parts = [laws(scene), query.extra ?? '', query.code].join('\n');
    const module = device.createShaderModule({ code: reachable(parts, 'query') });
    const layout = device.createBindGroupLayout({
      entries: [0, 1, 2, 4, 5].map((binding) => ({
        binding,
        visibility: GPUShaderStage.COMPUTE,
        buffer: { type: binding === 2 ? 'uniform' : binding === 5 ? 'storage' : 'read-only-storage' },
      })),
    });
    const pipeline = await device.createComputePipelineAsync({
      layout: device.createPipelineLayout({ bindGroupLayouts: [layout] }),
      compute: { module, entryPoint: 'query' },
    });
    const count = numbers.length / query.inputs;
    const usage = GPUBufferUsage.STORAGE | GPUBufferUsage.COPY_SRC | GPUBufferUsage.COPY_DST;
    const given = device.createBuffer({ size: numbers.byteLength, usage });
    const found = device.createBuffer({ size: count * query.outputs * 4, usage });
    device.queue.writeBuffer(given, 0, numbers);
    const buffers = { 0: scene.bytes, 1: scene.bytes, 2: scene.single, 4: given, 5: found };
    const entries = Object.entries(buffers).map(([at, buffer]) => ({
      binding: Number(at),
      resource: { buffer },
    }));
    return new GpuQuery(gpu, pipeline, device.createBindGroup({ layout, entries }), found, count);
  }

  private constructor(
    gpu: Gpu,
    pipeline: GPUComputePipeline,
    bindings: GPUBindGroup,
    found: GPUBuffer,
    count: number,
  ) {
    this.gpu = gpu;
    this.pipeline = pipeline;
    this.bindings = bindings;
    this.found = found;
    this.count = count;
  }

  /** Runs all invocations this many times; resolves when the card is done. */
  async run(times = 1): Promise<void> {
    const { device } = this.gpu;
    const commands = device.createCommandEncoder();
    const compute = commands.beginComputePass();
    compute.setPipeline(this.pipeline);
    compute.setBindGroup(0, this.bindings);
    const groups = Math.ceil(this.count / 64);
    const x = Math.min(groups, 32768);
    for (let i = 0; i < times; i++) compute.dispatchWorkgroups(x, Math.ceil(groups / x));
    compute.end();
    device.queue.submit([commands.finish()]);
    await device.queue.onSubmittedWorkDone();
  }

  async read(): Promise<Float32Array> {
    const { device } = this.gpu;
    const stage = device.createBuffer({
      size: this.found.size,
      usage: GPUBufferUsage.MAP_READ | GPUBufferUsage.COPY_DST,
    });
    const commands = device.createCommandEncoder();
    commands.copyBufferToBuffer(this.found, 0, stage, 0, this.found.size);
    device.queue.submit([commands.finish()]);
    await stage.mapAsync(GPUMapMode.READ);
    const out = new Float32Array(stage.getMappedRange().slice(0));
    stage.destroy();
    return out;
  }
}
