/** What still runs of a run that has ended: whatever inherited its mark, or names its temporary folder. */
import { readdirSync, readFileSync } from 'node:fs';
import { setTimeout as pause } from 'node:timers/promises';
import { descendants } from '../../pipeline/tracer/process-tree.ts';

/** Processes come and go by /proc here. */
export const CAN_SEE_PROCESSES = process.platform === 'linux';

export interface Seen {
  pid: number;
  parent: number;
  command: string;
}

/** Living processes that carry a mark in their environment or command line; remains nobody reaped do not count. */
export function processesOf(mark: string): Seen[] {
  const found: Seen[] = [];
  for (const name of readdirSync('/proc')) {
    const pid = Number(name);
    if (!(pid > 0) || pid === process.pid) continue;
    try {
      const stat = readFileSync(`/proc/${name}/stat`, 'latin1');
      const [state, parent] = stat.slice(stat.lastIndexOf(')') + 2).split(' ');
      if (state === 'Z' || state === 'X') continue;
      const command = readFileSync(`/proc/${name}/cmdline`, 'latin1').replaceAll('\0', ' ');
      const environment = readFileSync(`/proc/${name}/environ`, 'latin1');
      if (command.includes(mark) || environment.includes(mark))
        found.push({ pid, parent: Number(parent), command });
    } catch {
      // it went while we looked
    }
  }
  return found;
}

/** A process' living descendants: renderers hide their environment, and with it the mark. */
export function processesBelow(root: number): Seen[] {
  return descendants(root).flatMap((pid) => {
    try {
      const command = readFileSync(`/proc/${pid}/cmdline`, 'latin1').replaceAll('\0', ' ');
      return command === '' ? [] : [{ pid, parent: root, command }];
    } catch {
      return []; // it went while we looked
    }
  });
}

/** Waits until none is left, at most `ms`. @returns those that are */
export async function orphansOf(mark: string, ms: number): Promise<Seen[]> {
  const until = performance.now() + ms;
  for (;;) {
    const left = processesOf(mark);
    if (left.length === 0 || performance.now() > until) return left;
    await pause(20);
  }
}
