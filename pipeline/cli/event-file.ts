import { closeSync, constants, openSync, writeSync } from 'node:fs';
import { dirname } from 'node:path';
import type { Report } from '../artefacts/events.ts';
import { CliError } from './usage.ts';

/** Events as lines of JSON in a file, appended as they happen and each with its time in ISO 8601. */
export interface EventFile {
  report: Report;
  close(): void;
}

/** @throws CliError if the file cannot be written */
export function openEventFile(file: string, now = () => new Date()): EventFile {
  let handle: number;
  try {
    // a pipe that nobody reads is refused and not waited for
    const { O_WRONLY, O_APPEND, O_CREAT, O_NONBLOCK } = constants;
    handle = openSync(file, O_WRONLY | O_APPEND | O_CREAT | (O_NONBLOCK ?? 0), 0o666);
  } catch (error) {
    throw new CliError(
      `--events: expected a file that can be written, in a folder that exists (${dirname(file)}), but received ${file}: ${(error as Error).message}`,
    );
  }
  return {
    report: (event) => {
      writeSync(handle, `${JSON.stringify({ time: now().toISOString(), ...event })}\n`);
    },
    close: () => closeSync(handle),
  };
}
