/** Word of a run to an address that the user names. The address may hold secrets: only its host is ever shown. */
import { setTimeout as pause } from 'node:timers/promises';
import { ProblemError } from '../problem.ts';

/** Where to send word. */
export interface NotifyAddress {
  /** without user, password, path and query, for people */
  shown: string;
  url: string;
  /** value of the Authorization header (RFC 7617), for user and password in the address */
  authorization?: string;
}

/** How patiently. */
export interface Patience {
  tries: number;
  /** ms for one try, from the connection to the answer's head */
  timeoutMs: number;
  /** ms before the second try; four times as long before each further one */
  backoffMs: number;
}

/** At most 3 × 10 s and 1 s and 4 s between. */
export const PATIENT: Patience = { tries: 3, timeoutMs: 10_000, backoffMs: 1000 };
/** For a run that was asked to end: those who end it wait. */
export const HURRIED: Patience = { tries: 1, timeoutMs: 5000, backoffMs: 0 };

/** @throws ProblemError (`bad-notify-url`), which does not repeat the address */
export function readNotifyAddress(text: string): NotifyAddress {
  try {
    const url = new URL(text);
    if (!/^https?:$/.test(url.protocol) || !url.hostname) throw new TypeError();
    const pair = [url.username, url.password].map(decodeURIComponent).join(':');
    url.username = '';
    url.password = '';
    const authorization =
      pair === ':' ? {} : { authorization: `Basic ${Buffer.from(pair).toString('base64')}` };
    return { shown: url.origin, url: url.href, ...authorization };
  } catch {
    throw new ProblemError([
      {
        code: 'bad-notify-url',
        severity: 'error',
        path: '--notify',
        expected: 'an address such as https://example.org/hook',
        received: 'something else (not repeated here: it may hold a password)',
        advice: 'Give a whole http or https address, user and password percent-encoded.',
      },
    ]);
  }
}

/**
 * Posts a JSON body and wants an answer of 2xx. What may pass (no connection, no answer, 429, 5xx) is tried again; no
 * redirect is followed, so that nothing goes anywhere but where it was sent.
 * @returns why it could not be told, in words without secrets; undefined when it was
 */
export async function notify(
  { url, authorization }: NotifyAddress,
  body: unknown,
  { tries, timeoutMs, backoffMs }: Patience,
): Promise<string | undefined> {
  const headers = { 'content-type': 'application/json', ...(authorization ? { authorization } : {}) };
  let why = '';
  for (let n = 1; n <= tries; n++) {
    if (n > 1) await pause(backoffMs * 4 ** (n - 2));
    try {
      const signal = AbortSignal.timeout(timeoutMs);
      const answer = await fetch(url, {
        method: 'POST',
        headers,
        body: JSON.stringify(body),
        redirect: 'manual',
        signal,
      });
      await answer.body?.cancel();
      if (answer.ok) return undefined;
      why = `it answered ${answer.status}`;
      if (answer.status < 500 && answer.status !== 429) return why;
    } catch (error) {
      why = faultWords(error, timeoutMs);
    }
  }
  return `${why}, ${tries === 1 ? 'once' : `${tries} times`}`;
}

/** The error's own text may hold the address. */
function faultWords(error: unknown, timeoutMs: number): string {
  if (error instanceof Error && error.name === 'TimeoutError')
    return `it gave no answer within ${timeoutMs / 1000} s`;
  const { cause } = error as { cause?: { code?: string } };
  return `it could not be reached${cause?.code ? ` (${cause.code})` : ''}`;
}
