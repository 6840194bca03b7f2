/** Tries inputs: a folder with what special files there are, the command run in it, and what is asked of its answer. */
import { spawn, spawnSync } from 'node:child_process';
import { mkdirSync, readFileSync, rmSync, symlinkSync, truncateSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { main } from '../../pipeline/cli/main.ts';
import type { BadInput } from './bad-input.ts';

export const MOST_SECONDS = 3;
/** Longer is a hang, however busy the machine. */
export const HANG_SECONDS = 60;
export const MOST_BYTES = 400e6;

export interface Answer {
  exit: number | undefined;
  said: string;
  seconds: number;
  /** seconds of processor time, which other programs on the machine do not lengthen */
  cpu: number;
  /** most that the process held until then, bytes */
  peak: number;
}

/** A folder with a pipe, a link that leads to itself, a file of five gigabytes without content, and the like. */
export function prepareFolder(folder: string): void {
  mkdirSync(join(folder, 'folder'), { recursive: true });
  writeFileSync(join(folder, 'file'), 'a file\n');
  writeFileSync(join(folder, 'sparse'), '');
  truncateSync(join(folder, 'sparse'), 5e9);
  symlinkSync('circle', join(folder, 'circle'));
  spawnSync('mkfifo', [join(folder, 'pipe')]);
}

/** Lays down an input's files; @returns its command line */
export function layDown(input: BadInput, folder: string): string[] {
  for (const name of ['config.yaml', 'given.yaml', 'orders.csv', 'out'])
    rmSync(join(folder, name), { recursive: true, force: true });
  for (const [name, bytes] of Object.entries(input.files)) writeFileSync(join(folder, name), bytes);
  return input.args.map((a) => a.replaceAll('{f}', folder));
}

/** Runs the command's own entry in this process. A hang is for whoever watches this process. */
export async function tryHere(input: BadInput, folder: string): Promise<Answer> {
  const args = layDown(input, folder);
  let said = '';
  const sink = { write: (text: string) => (said += text), terminal: false, columns: 100 };
  const began = performance.now();
  const before = process.cpuUsage();
  const exit = await main(args, { out: { ...sink, write: () => '' }, err: sink }).catch((error: Error) => {
    said += error.stack ?? String(error);
    return undefined;
  });
  const seconds = (performance.now() - began) / 1000;
  const { user, system } = process.cpuUsage(before);
  return { exit, said, seconds, cpu: (user + system) / 1e6, peak: process.resourceUsage().maxRSS * 1024 };
}

/** Runs the command as users do; its memory is what Linux saw it hold at most, looked at every 20 ms. */
export function tryProcess(input: BadInput, folder: string): Promise<Answer> {
  const args = layDown(input, folder);
  const began = performance.now();
  // a system takes no argument of more than 128 kB, and none with a zero byte
  const child = spawn(process.execPath, ['pipeline/cli/bandwright.mjs', ...args], {
    stdio: ['ignore', 'ignore', 'pipe'],
  });
  let said = '';
  let peak = 0;
  let cpu = 0;
  child.stderr.on('data', (chunk) => (said += chunk));
  const look = setInterval(() => {
    const [status, stat] = ['status', 'stat'].map((name) => {
      try {
        return readFileSync(`/proc/${child.pid}/${name}`, 'utf8');
      } catch {
        return '';
      }
    });
    // utime and stime, proc(5), in hundredths of a second
    const [utime = 0, stime = 0] = stat.split(') ')[1]?.split(' ').slice(11, 13).map(Number) ?? [];
    cpu = Math.max(cpu, (utime + stime) / 100);
    peak = Math.max(peak, Number(/VmHWM:\s+(\d+)/.exec(status)?.[1] ?? 0) * 1024);
  }, 20);
  const watchdog = setTimeout(() => child.kill('SIGKILL'), 90_000);
  return new Promise((resolve) => {
    child.once('close', (code) => {
      clearInterval(look);
      clearTimeout(watchdog);
      resolve({ exit: code ?? undefined, said, seconds: (performance.now() - began) / 1000, cpu, peak });
    });
  });
}

const TRACE = /\n\s+at .+:\d+:\d+|node:internal|UnhandledPromise/;
/** A file with line and column, a file of the output, a flag, or the command line itself. */
const PLACE =
  /^(?:\S.*:\d+:\d+: |--[\w-]+(?: and --[\w-]+)?: |\/\S+: expected|there is no command|Unknown option|Option )|command line|config file|ring size/m;
const ADVICE = /[.?!] \[[a-z0-9-]+\]$|See: bandwright help/m;

/** What is wrong with an answer; nothing if it is clear. */
export function faultsOf({ exit, said, seconds, cpu, peak }: Answer): string[] {
  const faults: string[] = [];
  if (exit !== 2) faults.push(exit === undefined ? 'no exit' : `exit ${exit}`);
  if (TRACE.test(said)) faults.push('a stack trace');
  else if (!PLACE.test(said)) faults.push('no place');
  else if (!ADVICE.test(said)) faults.push('no advice');
  if (cpu > MOST_SECONDS) faults.push(`${cpu.toFixed(1)} s of processor time`);
  if (seconds > HANG_SECONDS) faults.push(`${seconds.toFixed(1)} s`);
  if (peak > MOST_BYTES) faults.push(`${Math.round(peak / 1e6)} MB`);
  return faults;
}
