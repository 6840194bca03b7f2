import { readFileSync, readlinkSync } from 'node:fs';
import { hostname } from 'node:os';

/**
 * Who a process is, so that another can tell whether it still lives: process ids are given again, clocks jump, and
 * containers and machines that share a folder have ids of their own. Empty where the system does not tell.
 */
export interface ProcessIdentity {
  pid: number;
  host: string;
  /** of the installed system; Linux, machine-id(5) */
  machine: string;
  /** new with every boot; Linux, /proc/sys/kernel/random/boot_id, proc(5) */
  boot: string;
  /** the PID namespace; Linux, namespaces(7) */
  space: string;
  /** clock ticks between boot and start of the process; Linux, field 22 of /proc/<pid>/stat, proc(5) */
  start: string;
}

export function ownIdentity(): ProcessIdentity {
  return {
    pid: process.pid,
    host: hostname(),
    machine: read('/etc/machine-id'),
    boot: read('/proc/sys/kernel/random/boot_id'),
    space: link('/proc/self/ns/pid'),
    start: processStart(process.pid) ?? '',
  };
}

/** `unknown`: it runs where its pid says nothing here, so that only its heartbeat can tell. */
export function lifeOf(other: ProcessIdentity, self: ProcessIdentity): 'alive' | 'dead' | 'unknown' {
  if (self.boot && self.space && other.boot === self.boot && other.space === self.space)
    return lifeHere(other);
  const sameMachine = other.host === self.host && other.machine === self.machine;
  // one installed system that was booted again since
  if (sameMachine && self.machine && other.boot && self.boot && other.boot !== self.boot) return 'dead';
  if (sameMachine && !self.boot && !other.boot && !exists(other.pid)) return 'dead';
  return 'unknown';
}

function lifeHere({ pid, start }: ProcessIdentity): 'alive' | 'dead' | 'unknown' {
  if (!exists(pid)) return 'dead';
  const now = processStart(pid);
  // some systems hide the processes of others
  return now === undefined ? 'unknown' : now === start ? 'alive' : 'dead';
}

/** Empty if only its remains are there, undefined if the system does not tell. */
function processStart(pid: number): string | undefined {
  const stat = read(`/proc/${pid}/stat`);
  // the name in brackets may hold anything
  const fields = stat.slice(stat.lastIndexOf(')') + 2).split(' ');
  const [state] = fields;
  if (stat === '') return undefined;
  return state === 'Z' || state === 'X' ? '' : fields[19];
}

function exists(pid: number): boolean {
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return (error as NodeJS.ErrnoException).code !== 'ESRCH';
  }
}

function read(file: string): string {
  try {
    return readFileSync(file, 'utf8').trim();
  } catch {
    return '';
  }
}

function link(file: string): string {
  try {
    return readlinkSync(file);
  } catch {
    return '';
  }
}
