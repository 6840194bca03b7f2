import type { RunEvent } from '../artefacts/events.ts';
import { Pace } from '../run/pace.ts';
import { bytes, counted, duration, percent, rateWording } from '../words/amount-words.ts';

/** The take that is traced, and how fast takes go. */
export class RunningTake {
  label = '';
  readonly #pace = new Pace();
  readonly #now: () => number;
  /** what is redrawn may be cut off at the right: the rate stands before that */
  #running = '';

  /** @param now ms of a clock that never goes back */
  constructor(now: () => number) {
    this.#now = now;
  }

  /** @returns what stands on the screen while it runs, if the event changes that */
  follow(e: RunEvent): string | undefined {
    switch (e.event) {
      case 'take-start':
        this.label = `take ${e.index}/${e.total}  ${e.label}  ${counted(e.colourways, 'colourway')}`;
        this.#pace.begin(this.#now());
        this.#running = this.label.replace('  ', `${this.rate(' at ', '/h')}  `);
        return this.#running;
      case 'take-progress':
        return `${this.#running}  pass ${e.passes}  error ${e.error === null ? '–' : percent(e.error)} of ${percent(e.target)}  open ${percent(e.open)}  ${duration(e.etaSeconds)} left${e.memory ? `  ${bytes(e.memory)}` : ''}`;
      case 'take-done':
        this.#pace.done(this.#now());
        return undefined;
      case 'resumed':
        this.#pace.rest(1000 * e.seconds);
        return undefined;
      default:
        return undefined;
    }
  }

  /** Takes an hour between two words; nothing until it is known. */
  rate(before: string, after: string): string {
    const { perHour } = this.#pace;
    return perHour > 0 ? `${before}${rateWording(perHour)}${after}` : '';
  }
}
