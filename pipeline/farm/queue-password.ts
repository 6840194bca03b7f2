/**
 * The queue's password from where other users of a machine cannot read it: a command line shows in every list of
 * processes. Taken out of the environment, so that the browser and whatever else is started do not inherit it.
 */
import { readFileSync } from 'node:fs';
import { ProblemError } from '../problem.ts';
import { type QueueUrl, readQueueUrl } from './queue-url.ts';

export const PASSWORD_VARIABLE = 'BANDWRIGHT_QUEUE_PASSWORD';
export const PASSWORD_FILE_VARIABLE = 'BANDWRIGHT_QUEUE_PASSWORD_FILE';

export const PASSWORD_ON_COMMAND_LINE = `warning: a password on the command line can be read by everybody on this machine; give it in ${PASSWORD_FILE_VARIABLE} or ${PASSWORD_VARIABLE}`;

/**
 * The address `text` with the password that the environment gives, if it gives one.
 * @throws ProblemError (`bad-queue-url`, `queue-password-unreadable`, `queue-password-twice`)
 */
export function openQueueUrl(text: string, env: NodeJS.ProcessEnv): QueueUrl {
  const url = readQueueUrl(text);
  const { [PASSWORD_VARIABLE]: word, [PASSWORD_FILE_VARIABLE]: file } = env;
  delete env[PASSWORD_VARIABLE];
  const given = [
    ...(url.connection.password ? ['the address'] : []),
    ...(word ? [PASSWORD_VARIABLE] : []),
    ...(file ? [PASSWORD_FILE_VARIABLE] : []),
  ];
  if (given.length > 1)
    throw problem(
      'queue-password-twice',
      'one password for the queue',
      `one in ${given.join(' and one in ')}`,
      'Keep one of them; the file is the safest.',
    );
  const password = file ? readPassword(file) : word;
  return password ? { ...url, connection: { ...url.connection, password } } : url;
}

/** Without the line's end that editors and `echo` leave. */
function readPassword(file: string): string {
  let text: string | undefined;
  try {
    text = readFileSync(file, 'utf8').replace(/\r?\n$/, '');
  } catch {
    // said below
  }
  if (text) return text;
  throw problem(
    'queue-password-unreadable',
    'a file that holds the password and nothing else',
    `${file}, which is ${text === undefined ? 'not there or cannot be read' : 'empty'}`,
    `Mend ${PASSWORD_FILE_VARIABLE} or the file’s permissions.`,
  );
}

function problem(code: string, expected: string, received: string, advice: string): ProblemError {
  return new ProblemError([{ code, severity: 'error', path: '--queue', expected, received, advice }]);
}
