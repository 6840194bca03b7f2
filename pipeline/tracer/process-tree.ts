/** The processes below one, what they hold of memory, use of processors and how they yield to others, as Linux shows them in /proc. */
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { getPriority, setPriority } from 'node:os';

/** Elsewhere trees are empty and memory is unknown. */
export const SEES_PROCESSES = process.platform === 'linux';

/** Linux tells the children of each thread where it was built so (CONFIG_PROC_CHILDREN), as those of all distributions are (from memory). */
const TELLS_CHILDREN = SEES_PROCESSES && existsSync('/proc/thread-self/children');

/**
 * Ids of all living processes that descend from one.
 * @param told whether Linux is asked for children, for tests
 */
export function descendants(root: number, told = TELLS_CHILDREN): number[] {
  if (!SEES_PROCESSES) return [];
  // to ask every process of the machine for its parent takes several times as long
  const childrenOf = told ? toldChildren : foundChildren();
  const found: number[] = [];
  const open = [root];
  for (let pid = open.pop(); pid !== undefined; pid = open.pop()) {
    const below = childrenOf(pid);
    found.push(...below);
    open.push(...below);
  }
  return found;
}

function toldChildren(pid: number): number[] {
  try {
    return readdirSync(`/proc/${pid}/task`).flatMap((thread) => childrenOfThread(pid, thread));
  } catch {
    // it went while we looked
    return [];
  }
}

function childrenOfThread(pid: number, thread: string): number[] {
  try {
    const told = readFileSync(`/proc/${pid}/task/${thread}/children`, 'latin1');
    return told.split(' ').filter(Boolean).map(Number);
  } catch {
    return [];
  }
}

function foundChildren(): (pid: number) => number[] {
  const children = new Map<number, number[]>();
  for (const name of readdirSync('/proc')) {
    const pid = Number(name);
    if (!(pid > 0)) continue;
    try {
      // the name in brackets may hold anything; after it come state and parent
      const stat = readFileSync(`/proc/${pid}/stat`, 'latin1');
      const parent = Number(stat.slice(stat.lastIndexOf(')') + 2).split(' ')[1]);
      children.set(parent, [...(children.get(parent) ?? []), pid]);
    } catch {
      // it went while we looked
    }
  }
  return (pid) => children.get(pid) ?? [];
}

/**
 * Bytes of a process, 0 for one that has gone. Proportional set size (Linux, /proc/PID/smaps_rollup): pages shared
 * between processes count once in all; where the kernel hides it, the resident set, which counts them in each.
 */
export function memoryOf(pid: number): number {
  try {
    const line = /^Pss:\s+(\d+) kB/m.exec(readFileSync(`/proc/${pid}/smaps_rollup`, 'utf8'));
    if (line) return Number(line[1]) * 1024;
  } catch {}
  try {
    const line = /^VmRSS:\s+(\d+) kB/m.exec(readFileSync(`/proc/${pid}/status`, 'utf8'));
    return Number(line?.[1] ?? 0) * 1024;
  } catch {
    return 0;
  }
}

/** Of a second: USER_HZ, which is 100 on every architecture that Node runs on (proc(5), from memory). */
const TICKS = 100;

/**
 * Seconds of processor time that a process has used so far, and those of its living threads whose name begins so; undefined
 * for a process that has gone. Linux keeps 15 letters of a thread's name.
 */
export function processorOf(pid: number, threads: string): { all: number; threads: number } | undefined {
  try {
    let sum = 0;
    for (const id of readdirSync(`/proc/${pid}/task`)) {
      const thread = usedBy(`/proc/${pid}/task/${id}/stat`);
      if (thread.name.startsWith(threads)) sum += thread.seconds;
    }
    return { all: usedBy(`/proc/${pid}/stat`).seconds, threads: sum };
  } catch {
    return undefined;
  }
}

function usedBy(stat: string): { name: string; seconds: number } {
  const text = readFileSync(stat, 'latin1');
  const end = text.lastIndexOf(')');
  // fields 14 and 15, user and system time, counted from the state, which is field 3
  const fields = text.slice(end + 2).split(' ');
  const seconds = (Number(fields[11]) + Number(fields[12])) / TICKS;
  return { name: text.slice(text.indexOf('(') + 1, end), seconds };
}

/**
 * Lets a process and all its threads yield to others: nice value `nice`, 19 being the most yielding. Values are of
 * threads on Linux, Chromium sets those of its own, and new threads appear at any time, so this is to be repeated.
 * Nothing that yields more already is touched.
 */
export function yieldMore(pid: number, nice: number): void {
  let threads: string[];
  try {
    threads = readdirSync(`/proc/${pid}/task`);
  } catch {
    return;
  }
  for (const name of threads) {
    try {
      const thread = Number(name);
      if (getPriority(thread) < nice) setPriority(thread, nice);
    } catch {
      // it went while we looked, or belongs to somebody else
    }
  }
}
