/** ms that one submission should take: short beside what drivers take for a hang, long beside what it costs to begin one */
const SUBMISSION = 60;
const FIRST_PATHS = 1 << 17;
const FIRST_PATHS_SOFTWARE = 1 << 12;

/** How many paths one submission to a card may have, from how long those before it took. */
export class SubmissionPace {
  /** paths of the next submission */
  paths: number;

  constructor(software: boolean) {
    this.paths = software ? FIRST_PATHS_SOFTWARE : FIRST_PATHS;
  }

  learn(paths: number, ms: number): void {
    const fitting = (paths * SUBMISSION) / Math.max(1, ms);
    this.paths = Math.max(1, Math.min(fitting, 4 * Math.max(paths, this.paths)));
  }
}
