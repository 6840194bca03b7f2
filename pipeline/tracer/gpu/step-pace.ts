/** How many steps paths are taken in one submission: by how long such took, and by what runs are left. */

/**
 * ms that one submission should take: short beside what drivers take for a hang, and since a job whose runs are done leaves its
 * room to another only when a submission has come back; long beside what it costs to begin one
 */
const SUBMISSION = 15;
const FIRST_STEPS = 8;
const FIRST_STEPS_SOFTWARE = 4;
/** of the last paths, most of which have ended by then */
const TAIL = 16;

export class StepPace {
  private readonly slots: number;
  /** of one submission at most */
  private most: number;
  /** runs that a slot has taken in a step, while there were any */
  private rate = 0.07;

  constructor(software: boolean, slots: number) {
    this.slots = slots;
    this.most = software ? FIRST_STEPS_SOFTWARE : FIRST_STEPS;
  }

  /**
   * Steps of the next submission, at least one.
   * @param left runs that no slot has taken, as far as is known
   * @param planned steps that are on their way
   */
  next(left: number, planned: number): number {
    // a rate of none says nothing of what none are left of
    const all = left === 0 ? 0 : Math.ceil(left / (this.rate * this.slots));
    return Math.min(this.most, Math.max(TAIL, all - planned));
  }

  /** What came of so many steps in which no slot was at rest. */
  learn(steps: number, ms: number, runs: number): void {
    this.rate = runs / (steps * this.slots);
    const fitting = (steps * SUBMISSION) / Math.max(1, ms);
    this.most = Math.round(Math.max(1, Math.min(fitting, 4 * steps)));
  }
}
