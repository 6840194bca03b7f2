import { rename } from 'node:fs/promises';
import { setTimeout as wait } from 'node:timers/promises';
import { ProblemError } from '../problem.ts';

/**
 * What Windows answers while another program (a viewer, an editor, a virus scanner) has a file open that is to be renamed
 * or replaced. Elsewhere open files are no hindrance, and EPERM and EACCES mean what they say.
 */
const IN_USE: Readonly<Record<string, readonly string[]>> = {
  win32: ['EPERM', 'EACCES', 'EBUSY', 'ENOTEMPTY'],
};
/** Scanners let go within a second or two, people do not. */
const PATIENCE_MS = 5000;
const FIRST_PAUSE_MS = 20;

interface Surroundings {
  platform: string;
  pause(ms: number): Promise<unknown>;
}

const HERE: Surroundings = { platform: process.platform, pause: wait };

/** Renames a file or folder; see `patiently`. */
export function renamePatiently(from: string, to: string): Promise<void> {
  return patiently(to, () => rename(from, to));
}

/**
 * Does a renaming, for some seconds again and again while another program has the file open. What is done must leave
 * things as they were when it fails.
 * @param path the file, for whoever is told
 * @throws ProblemError if it still is open; the system's error for anything else
 */
export async function patiently(
  path: string,
  renaming: () => Promise<void> | void,
  here: Surroundings = HERE,
): Promise<void> {
  const inUse = IN_USE[here.platform] ?? ['EBUSY'];
  let waited = 0;
  for (let pause = FIRST_PAUSE_MS; ; pause = Math.min(2 * pause, 500)) {
    try {
      return await renaming();
    } catch (error) {
      const { code = '' } = error as NodeJS.ErrnoException;
      if (!inUse.includes(code)) throw error;
      if (waited >= PATIENCE_MS) throw stillOpen(path, code);
      await here.pause(pause);
      waited += pause;
    }
  }
}

function stillOpen(path: string, code: string): ProblemError {
  return new ProblemError([
    {
      code: 'file-in-use',
      severity: 'error',
      path,
      expected: 'a file that no other program has open',
      received: `one in use, or without permission to replace it (${code}), for ${PATIENCE_MS / 1000} s`,
      advice: 'Close the program that has it open, and run the same command again.',
    },
  ]);
}
