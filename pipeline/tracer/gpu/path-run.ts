/** Follows all samples of a job, in submissions of many steps: none so long that a driver would take it for a hang. */
import type { Gpu } from './device.ts';
import { emptySlots, type PathPrograms, REACHED_BYTES, reached, type Slots, takeSteps } from './paths.ts';

/** ms that one submission should take: short beside what drivers take for a hang, long beside what it costs to begin one */
const SUBMISSION = 60;
const FIRST_STEPS = 8;
const FIRST_STEPS_SOFTWARE = 4;
/** of the last paths, most of which have ended by then */
const TAIL = 16;
/** submissions on their way: the card goes on while the host hears of the last one */
const IN_FLIGHT = 2;

/** What a submission of so many steps has come to: runs taken since the job began, whether none is left under way. */
interface Reached {
  steps: number;
  taken: number;
  done: boolean;
}

export class PathRun {
  private readonly gpu: Gpu;
  private readonly slots: Slots;
  /** of one submission at most */
  private steps: number;
  /** runs that a slot has taken in a step, while there were any */
  private rate = 0.07;
  /** buffers in which counts come back, those that are free */
  private readonly stages: GPUBuffer[] = [];

  constructor(gpu: Gpu, slots: Slots) {
    this.gpu = gpu;
    this.slots = slots;
    this.steps = gpu.facts.software ? FIRST_STEPS_SOFTWARE : FIRST_STEPS;
  }

  /**
   * The job is told already. @returns false where `stopped` broke off
   * @param runs of samples that the job has, places outside the frame too
   * @param onRuns how many have been taken
   */
  async follow(
    programs: PathPrograms,
    runs: number,
    stopped: () => boolean,
    onRuns: (n: number) => void,
  ): Promise<boolean> {
    const flight: Promise<Reached>[] = [];
    let told = 0;
    let ended = performance.now();
    let planned = 0;
    let last: Reached = { steps: 0, taken: 0, done: false };
    this.begin();
    while (!last.done && !stopped()) {
      while (flight.length < IN_FLIGHT) {
        const all = runs / (this.rate * this.slots.count);
        const steps = Math.min(this.steps, Math.max(TAIL, Math.ceil(all) - planned));
        planned += steps;
        const submitted = this.submit(programs, steps);
        // where it fails, so does the one before it, which is waited for
        submitted.catch(() => {});
        flight.push(submitted);
      }
      last = await (flight.shift() as Promise<Reached>);
      const now = performance.now();
      const taken = Math.min(runs, last.taken);
      // of steps in which no slot was at rest
      if (taken < runs) this.learn(last.steps, now - ended, taken - told);
      ended = now;
      onRuns(taken - told);
      told = taken;
    }
    await Promise.all(flight);
    return last.done;
  }

  destroy(): void {
    for (const stage of this.stages) stage.destroy();
  }

  private begin(): void {
    const commands = this.gpu.device.createCommandEncoder();
    emptySlots(commands, this.slots);
    this.gpu.device.queue.submit([commands.finish()]);
  }

  private async submit(programs: PathPrograms, steps: number): Promise<Reached> {
    const { device } = this.gpu;
    const commands = device.createCommandEncoder();
    const compute = commands.beginComputePass();
    takeSteps(compute, programs, this.slots, steps);
    compute.end();
    const stage =
      this.stages.pop() ??
      device.createBuffer({ size: REACHED_BYTES, usage: GPUBufferUsage.MAP_READ | GPUBufferUsage.COPY_DST });
    commands.copyBufferToBuffer(this.slots.counts, 0, stage, 0, REACHED_BYTES);
    device.queue.submit([commands.finish()]);
    await stage.mapAsync(GPUMapMode.READ);
    const state = { steps, ...reached(stage.getMappedRange(), this.slots) };
    stage.unmap();
    this.stages.push(stage);
    return state;
  }

  private learn(steps: number, ms: number, runs: number): void {
    this.rate = runs / (steps * this.slots.count);
    const fitting = (steps * SUBMISSION) / Math.max(1, ms);
    this.steps = Math.round(Math.max(1, Math.min(fitting, 4 * steps)));
  }
}
