/**
 * What `BANDWRIGHT_FAULT` may ask for, for tests only: `<action>@<place>#<n>`, several parted by commas. The place may
 * end in `*`; the action happens the n-th time it is reached (`#n-` from then on).
 *
 *     kill@*#17                 kill -9 at the 17th place of any kind
 *     ENOSPC@file.write#3       the third write finds the disk full
 *     page-memory@tracer.page#1 the first page cannot get memory
 *     count@*                   prints how many places were passed
 */
import type { FaultHook, FaultPoint } from './fault-places.ts';

/** The part of a browser's page that faults need. */
interface FaultyPage {
  evaluate(script: string): Promise<unknown>;
  evaluateOnNewDocument(script: string): Promise<unknown>;
  goto(url: string): Promise<unknown>;
  workers(): { close(): Promise<void>; evaluate(script: string): Promise<unknown> }[];
}

type Action = (point: FaultPoint, subject: unknown) => void | Promise<void>;

const forever = () =>
  new Promise<void>(() => {
    // a pending promise alone would let the process end
    setInterval(() => {}, 60_000);
  });

const signal = (...names: NodeJS.Signals[]) => {
  return async () => {
    for (const name of names) {
      process.kill(process.pid, name);
      // long enough apart not to be taken for one
      await new Promise((resolve) => setTimeout(resolve, 600));
    }
  };
};

/** Nothing of the page is waited for: a hook must not hold up its caller longer than the fault would. */
const page =
  (act: (page: FaultyPage) => Promise<unknown> | undefined) => (_: FaultPoint, subject: unknown) => {
    act(subject as FaultyPage)?.catch(() => {});
  };

const ACTIONS: Record<string, Action> = {
  kill: () => void process.kill(process.pid, 'SIGKILL'),
  int: signal('SIGINT'),
  'int-twice': signal('SIGINT', 'SIGINT'),
  term: signal('SIGTERM'),
  hang: forever,
  'page-memory': async (_, subject) => {
    await (subject as FaultyPage).evaluateOnNewDocument(
      'globalThis.SharedArrayBuffer = class { constructor() { throw new RangeError("Array buffer allocation failed"); } }',
    );
  },
  'page-crash': page((p) => p.goto('chrome://crash')),
  'page-hang': page((p) => p.evaluate('for (;;) {}')),
  'worker-end': page((p) => p.workers()[0]?.close()),
  'worker-hang': page((p) => p.workers()[0]?.evaluate('for (;;) {}')),
  error: () => {
    throw new Error('a fault on purpose');
  },
  count: () => {},
};

export function faultsOf(text: string): FaultHook {
  const faults = text.split(',').map(parse);
  let passed = 0;
  if (text.includes('count@')) process.once('exit', () => process.stderr.write(`places passed: ${passed}\n`));
  return async (point, subject) => {
    passed++;
    for (const fault of faults) {
      if (!fault.matches(point)) continue;
      fault.seen++;
      if (fault.seen === fault.nth || (fault.onwards && fault.seen > fault.nth))
        await fault.act(point, subject);
    }
  };
}

function parse(text: string) {
  const [, name, place, nth, onwards] = /^([\w-]+)@([\w.*-]+)(?:#(\d+)(-?))?$/.exec(text) ?? [];
  const act = ACTIONS[name] ?? (/^E[A-Z]+$/.test(name ?? '') ? systemError(name) : undefined);
  if (!act) throw new RangeError(`BANDWRIGHT_FAULT: expected <action>@<place>#<n> but received ${text}`);
  const matches = (point: string) =>
    place.endsWith('*') ? point.startsWith(place.slice(0, -1)) : point === place;
  return { act, matches, nth: Number(nth ?? 1), onwards: onwards === '-', seen: 0 };
}

function systemError(code: string): Action {
  return (point) => {
    throw Object.assign(new Error(`${code}: a fault on purpose at ${point}`), { code });
  };
}
