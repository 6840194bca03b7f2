/** How fast takes are traced, from the first one's start on and without pauses. Times in ms. */
export class Pace {
  #first: number | undefined;
  #last: number | undefined;
  #done = 0;

  begin(time: number): void {
    this.#first ??= time;
  }

  done(time: number): void {
    this.#done++;
    this.#last = time;
  }

  /** Leaves out a pause of so many ms since the first start. */
  rest(ms: number): void {
    if (this.#first !== undefined) this.#first += ms;
    // the rate until the last take stays what it was
    if (this.#last !== undefined) this.#last += ms;
  }

  /** Takes per hour until the last one was done; 0 before that. */
  get perHour(): number {
    const hours = ((this.#last ?? 0) - (this.#first ?? 0)) / 3.6e6;
    return this.#done > 0 && hours > 0 ? this.#done / hours : 0;
  }
}
