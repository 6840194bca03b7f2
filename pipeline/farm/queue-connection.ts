import { Redis } from 'ioredis';
import { PICTURE_VERSION } from '../picture/encode.ts';
import { ProblemError } from '../problem.ts';
import { artefactKey } from '../publish/content-key.ts';
import { layerVersions } from '../run/version.ts';
import type { QueueUrl } from './queue-url.ts';

/** Hash of all code that decides content. */
export function engineVersion(): string {
  return artefactKey({ layers: layerVersions(), encoder: PICTURE_VERSION });
}

/** Waits out a queue that is away for a while, such as one that is restarted. */
export function lastingConnection({ connection }: QueueUrl) {
  return {
    ...connection,
    maxRetriesPerRequest: null,
    retryStrategy: (times: number) => Math.min(100 * times, 2000),
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
    connectTimeout: 5000,
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
    const refused = /WRONGPASS|NOAUTH|NOPERM|invalid password|AUTH/i.test(`${reason} ${error}`);
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
