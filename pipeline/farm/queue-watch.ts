/**
 * Looks at the queue for as long as a run depends on it. The clients of maker and workers wait in silence for a server
 * that is away; somebody has to say so, and to end what would wait for ever.
 */
import { setTimeout as pause } from 'node:timers/promises';
import type { Report } from '../artefacts/events.ts';
import { ProblemError } from '../problem.ts';
import { probeQueue } from './queue-connection.ts';
import type { QueueUrl } from './queue-url.ts';

export interface WatchOptions {
  signal: AbortSignal;
  report: Report;
  /** ms for which a queue may be away; endlessly unless given */
  patienceMs?: number;
  /** ms between looks */
  everyMs?: number;
}

/**
 * Reports when the queue goes away and when it is back.
 * @throws ProblemError: `queue-refused` at once, `queue-lost` when it was away for too long; AbortError when the signal
 *   fires. Never resolves.
 */
export async function watchQueue(
  url: QueueUrl,
  { signal, report, patienceMs = Number.POSITIVE_INFINITY, everyMs = 5000 }: WatchOptions,
): Promise<never> {
  let away: number | undefined;
  for (;;) {
    await pause(everyMs, undefined, { signal });
    try {
      await probeQueue(url);
      if (away !== undefined) report({ event: 'waiting', message: `the queue at ${url.shown} is back` });
      away = undefined;
    } catch (error) {
      if (!(error instanceof ProblemError) || error.problems[0].code === 'queue-refused') throw error;
      if (away === undefined)
        report({ event: 'waiting', message: `the queue at ${url.shown} does not answer: waiting for it` });
      away ??= performance.now();
      if (performance.now() - away >= patienceMs) throw queueLost(url, patienceMs);
    }
  }
}

function queueLost({ shown }: QueueUrl, patienceMs: number): ProblemError {
  const seconds = Math.round(patienceMs / 1000);
  const time = seconds < 120 ? `${seconds} s` : `${Math.round(seconds / 60)} min`;
  return new ProblemError([
    {
      code: 'queue-lost',
      severity: 'error',
      path: '--queue',
      expected: `a queue that comes back within ${time}`,
      received: `no answer from ${shown} for longer`,
      advice: 'Start the server and run the same command again: takes that were made are kept.',
    },
  ]);
}
