/** Follows all samples of a pass, in submissions of many steps: none so long that a driver would take it for a hang. */
import type { Gpu } from './device.ts';
import {
  countAnew,
  emptySlots,
  type PathPrograms,
  REACHED_BYTES,
  reached,
  type Slots,
  takeSteps,
} from './paths.ts';
import { PORTIONS } from './shader/film.ts';
import { StepPace } from './step-pace.ts';

/** submissions on their way: the card goes on while the host hears of the last one */
const IN_FLIGHT = 2;

/** A job, as it is followed in one portion of the card's room. */
export interface Work {
  /** of samples, places outside the frame too */
  runs: number;
  /** tells the card, before anything is submitted; `before` are the runs of all works before */
  begin(portion: number, before: number): void;
  onRuns(taken: number): void;
  /** submits what is to be done with its light */
  end(portion: number): void;
}

interface UnderWay {
  work: Work;
  /** runs of all works before it */
  before: number;
}

type Portions = (UnderWay | undefined)[];

/** What a submission of so many steps has come to for those that were under way. */
interface Reached {
  steps: number;
  portions: Portions;
  /** runs of all works that had begun */
  begun: number;
  taken: number;
  done: number[];
}

export class PathRun {
  private readonly gpu: Gpu;
  private readonly slots: Slots;
  private readonly pace: StepPace;
  /** buffers in which counts come back, those that are free */
  private readonly stages: GPUBuffer[] = [];

  constructor(gpu: Gpu, slots: Slots) {
    this.gpu = gpu;
    this.slots = slots;
    this.pace = new StepPace(gpu.facts.software, slots.count);
  }

  /**
   * Follows works in their order. While the last runs of one are followed, which leave the card little to do, the next have
   * begun. Those that `stopped` breaks off are not ended.
   */
  async follow(programs: PathPrograms, works: readonly Work[], stopped: () => boolean): Promise<void> {
    const waiting = [...works];
    const portions: Portions = Array.from({ length: PORTIONS }, () => undefined);
    const flight: Promise<Reached>[] = [];
    const all = works.reduce((sum, { runs }) => sum + runs, 0);
    let begun = 0;
    let taken = 0;
    let planned = 0;
    let ended = performance.now();
    this.clear();
    while ((waiting.length > 0 || portions.some(Boolean)) && !stopped()) {
      while (flight.length < IN_FLIGHT) {
        begun = this.fill(portions, waiting, begun);
        const steps = this.pace.next(all - taken, planned);
        planned += steps;
        const submitted = this.submit(programs, steps, portions, begun);
        // where it fails, so does the one before it, which is waited for
        submitted.catch(() => {});
        flight.push(submitted);
      }
      const last = await (flight.shift() as Promise<Reached>);
      const now = performance.now();
      planned -= last.steps;
      note(last, taken, portions);
      // of steps in which no slot was at rest
      if (last.taken < last.begun) this.pace.learn(last.steps, now - ended, last.taken - taken);
      taken = last.taken;
      ended = now;
    }
    await Promise.all(flight);
  }

  destroy(): void {
    for (const stage of this.stages) stage.destroy();
  }

  private clear(): void {
    const commands = this.gpu.device.createCommandEncoder();
    emptySlots(commands, this.slots);
    this.gpu.device.queue.submit([commands.finish()]);
  }

  /** @returns runs of all works that have begun then */
  private fill(portions: Portions, waiting: Work[], begun: number): number {
    let before = begun;
    for (let k = 0; k < PORTIONS; k++) {
      const work = portions[k] ? undefined : waiting.shift();
      if (!work) continue;
      portions[k] = { work, before };
      countAnew(this.gpu.device, this.slots, k);
      work.begin(k, before);
      before += work.runs;
    }
    return before;
  }

  private async submit(
    programs: PathPrograms,
    steps: number,
    portions: Portions,
    begun: number,
  ): Promise<Reached> {
    const { device } = this.gpu;
    const under = [...portions];
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
    const state = { steps, portions: under, begun, ...reached(stage.getMappedRange()) };
    stage.unmap();
    this.stages.push(stage);
    return state;
  }
}

/** Tells works of their runs that are taken, beyond so many of all, and ends those that are done. */
function note({ portions: then, taken, done }: Reached, known: number, portions: Portions): void {
  then.forEach((one, k) => {
    // ended when the submission before this one had come back
    if (!one || portions[k] !== one) return;
    const { work, before } = one;
    const ofWork = (runs: number) => Math.max(0, Math.min(work.runs, runs - before));
    work.onRuns(ofWork(taken) - ofWork(known));
    if (done[k] < work.runs) return;
    work.end(k);
    portions[k] = undefined;
  });
}
