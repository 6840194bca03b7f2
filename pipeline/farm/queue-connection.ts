import { Redis } from 'ioredis';
import { ProblemError } from '../problem.ts';
import { codeVersions } from '../run/version.ts';
import { artefactKey } from '../store/content-key.ts';
import { ENGINE } from '../tracer/tracer.ts';
import type { QueueUrl } from './queue-url.ts';

/** A server that has not answered by then is away. */
const ANSWER_MS = 5000;
/** Longest ms between two tries to connect. */
export const RETRY_MS = 1000;

/** Hash of all code that decides content. */
export async function engineVersion(): Promise<string> {
  return artefactKey({ engine: ENGINE, kinds: await codeVersions() });
}

/**
 * Waits out a queue that is away for a while, such as one that is restarted, until `ended` fires: from then on what
 * waits for it fails.
 */
export function lastingConnection({ connection }: QueueUrl, ended: AbortSignal) {
  return {
    ...connection,
    maxRetriesPerRequest: null,
    retryStrategy: (times: number) => (ended.aborted ? null : Math.min(100 * times, RETRY_MS)),
  };
}

/**
 * Whether the queue answers and lets us in, before anything is begun.
 * @throws ProblemError (`queue-refused`, `queue-unreachable`). Errors of the client are never passed on: they carry
 *   the command that failed, and so the password.
 */
export async function probeQueue({ connection, shown }: QueueUrl): Promise<void> {
  const redis = new Redis({
    ...connection,
    lazyConnect: true,
    connectTimeout: ANSWER_MS,
    // a server that stands still takes connections and says nothing
    commandTimeout: ANSWER_MS,
    maxRetriesPerRequest: 0,
    retryStrategy: () => null,
  });
  let reason = '';
  redis.on('error', (error: Error) => {
    reason ||= error.message;
  });
  try {
    await redis.connect();
    await redis.ping();
  } catch (error) {
    reason ||= error instanceof Error ? error.message : '';
    const refused = /WRONGPASS|NOAUTH|NOPERM|invalid password|AUTH/i.test(reason);
    throw new ProblemError([
      {
        code: refused ? 'queue-refused' : 'queue-unreachable',
        severity: 'error',
        path: '--queue',
        expected: 'a Redis server that answers and lets this machine in',
        received: refused ? `${shown}, which refused user or password` : `no answer from ${shown}`,
        advice: refused
          ? 'Check user and password in the address.'
          : 'Check host and port, that the server runs, and that no firewall is between.',
      },
    ]);
  } finally {
    redis.disconnect();
  }
}

/**
 * What a command of the queue failed with, as a problem. The server's own words are shown, the command is not: it may
 * hold a password.
 */
export async function queueFault(url: QueueUrl, error: unknown): Promise<unknown> {
  if (error instanceof ProblemError || !(error instanceof Error) || error.name !== 'ReplyError') return error;
  // whether it lets us in at all is for the probe to say
  const refused = await probeQueue(url).then(
    () => undefined,
    (problem: unknown) => problem,
  );
  return (
    refused ??
    new ProblemError([
      {
        code: 'queue-failed',
        severity: 'error',
        path: '--queue',
        expected: 'a Redis server that stores what it is given',
        received: `${url.shown}, which says: ${error.message.slice(0, 200)}`,
        advice: 'Mend the server and run the same command again: takes that were made are kept.',
      },
    ])
  );
}
