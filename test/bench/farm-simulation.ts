/**
 * A farm of workers on one queue, one shared store and one publisher, as a discrete-event simulation: how long a plan takes,
 * how idle the workers are, and what fills up first.
 *
 * Model. Workers ask for takes in the plan's order. The queue, the store and the publisher are each one server that
 * does one thing at a time, first come first served: the queue for `queueSeconds` a take, the store for the take's bytes
 * at its bandwidth, the publisher for `publishSeconds` a picture once the take's films are stored. A take that dies is
 * given out again after `stallSeconds`.
 *
 * Limits. No network latency, no slow machines, no caches between store and workers.
 */

export interface FarmTake {
  /** worker seconds: solids, tracing, encoding */
  seconds: number;
  /** bytes that go to the store and come from it */
  bytes: number;
  pictures: number;
}

export interface FarmPlan {
  takes: readonly FarmTake[];
  workers: number;
  queueSeconds: number;
  storeBytesPerSecond: number;
  publishSeconds: number;
  /** chance that a take's worker dies in it, and how long until the queue notices */
  deathChance?: number;
  stallSeconds?: number;
  /** uniform in [0, 1); decides deaths */
  random?: () => number;
}

export interface FarmResult {
  makespanSeconds: number;
  /** share of the workers' time in which they neither work nor store */
  idleShare: number;
  /** share of the makespan in which each server was busy */
  busy: { workers: number; queue: number; store: number; publisher: number };
  storeBytes: number;
  repeated: number;
}

const ASK = 0;
const DONE = 1;

export function simulateFarm(plan: FarmPlan): FarmResult {
  const { takes, workers } = plan;
  const random = plan.random ?? (() => 1);
  const events = new EventHeap();
  let next = 0;
  const again: { take: number; at: number }[] = [];
  let queueFree = 0;
  let storeFree = 0;
  let publisherFree = 0;
  let worked = 0;
  let queueBusy = 0;
  let storeBusy = 0;
  let publisherBusy = 0;
  let storeBytes = 0;
  let repeated = 0;
  let left = takes.length;
  for (let w = 0; w < workers; w++) events.push(0, ASK, 0);

  for (let event = events.pop(); event && left > 0; event = events.pop()) {
    const { time, kind } = event;
    if (kind === ASK) {
      const stalled = again.length > 0 && again[0].at <= time ? again.shift()?.take : undefined;
      if (stalled === undefined && next >= takes.length) {
        // nothing to hand out now; a take that died may come back
        if (again.length > 0) events.push(again[0].at, ASK, 0);
        continue;
      }
      const take = stalled ?? next++;
      const begin = Math.max(time, queueFree) + plan.queueSeconds;
      queueFree = begin;
      queueBusy += plan.queueSeconds;
      if (random() < (plan.deathChance ?? 0)) {
        const died = begin + takes[take].seconds * random();
        worked += died - begin;
        repeated++;
        again.push({ take, at: died + (plan.stallSeconds ?? 0) });
        again.sort((a, b) => a.at - b.at);
        events.push(died, ASK, 0);
        continue;
      }
      worked += takes[take].seconds;
      events.push(begin + takes[take].seconds, DONE, take);
    } else {
      const { bytes, pictures } = takes[event.take];
      const moving = bytes / plan.storeBytesPerSecond;
      storeFree = Math.max(time, storeFree) + moving;
      storeBusy += moving;
      storeBytes += bytes;
      worked += moving;
      publisherFree = Math.max(storeFree, publisherFree) + pictures * plan.publishSeconds;
      publisherBusy += pictures * plan.publishSeconds;
      left--;
      events.push(storeFree, ASK, 0);
    }
  }
  const makespanSeconds = Math.max(storeFree, publisherFree);
  const of = (busy: number) => (makespanSeconds > 0 ? busy / makespanSeconds : 0);
  return {
    makespanSeconds,
    idleShare: 1 - of(worked) / workers,
    busy: {
      workers: of(worked) / workers,
      queue: of(queueBusy),
      store: of(storeBusy),
      publisher: of(publisherBusy),
    },
    storeBytes,
    repeated,
  };
}

/** The server that is busiest, and so the one that fills up first. */
export function bottleneck({ busy }: FarmResult): keyof FarmResult['busy'] {
  return (Object.keys(busy) as (keyof FarmResult['busy'])[]).reduce((a, b) => (busy[b] > busy[a] ? b : a));
}

interface FarmEvent {
  time: number;
  kind: number;
  take: number;
}

/** Binary heap by time; of two at once, the one pushed first. */
class EventHeap {
  private readonly items: (FarmEvent & { order: number })[] = [];
  private count = 0;

  push(time: number, kind: number, take: number): void {
    const { items } = this;
    const item = { time, kind, take, order: this.count++ };
    let i = items.push(item) - 1;
    while (i > 0) {
      const up = (i - 1) >> 1;
      if (!EventHeap.before(item, items[up])) break;
      items[i] = items[up];
      i = up;
    }
    items[i] = item;
  }

  pop(): FarmEvent | undefined {
    const { items } = this;
    const first = items[0];
    const last = items.pop();
    if (!last || items.length === 0) return first;
    let i = 0;
    for (;;) {
      let down = 2 * i + 1;
      if (down >= items.length) break;
      if (down + 1 < items.length && EventHeap.before(items[down + 1], items[down])) down++;
      if (!EventHeap.before(items[down], last)) break;
      items[i] = items[down];
      i = down;
    }
    items[i] = last;
    return first;
  }

  private static before(a: { time: number; order: number }, b: { time: number; order: number }): boolean {
    return a.time < b.time || (a.time === b.time && a.order < b.order);
  }
}
