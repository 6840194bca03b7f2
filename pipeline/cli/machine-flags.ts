/** Flags about the machine that tracing runs on: workers, memory, priority, when to wait. */
import { setPriority } from 'node:os';
import type { Report } from '../artefacts/events.ts';
import { ENGINE_CHOICES, type EngineChoice } from '../plan/plan.ts';
import { batteryHinders, type Hindrance, onBattery, othersAtWork } from '../run/pauses.ts';
import { SEES_PROCESSES } from '../tracer/process-tree.ts';
import type { SessionOptions } from '../tracer/session.ts';
import { byteCount, CliError } from './usage.ts';

export const MACHINE_OPTIONS = {
  jobs: { type: 'string' },
  memory: { type: 'string' },
  nice: { type: 'string' },
} as const;

export const PAUSE_OPTIONS = {
  'pause-above-load': { type: 'string' },
  'pause-on-battery': { type: 'boolean', default: false },
} as const;

interface MachineFlags {
  jobs?: string;
  memory?: string;
  nice?: string;
}

/** Least that a browser with one take of moderate size holds together with Node. */
const LEAST_MEMORY = 400e6;

/** How a session is to use this machine. Throws CliError. */
export function sessionOptions(
  flags: MachineFlags,
  env: Record<string, string | undefined> = process.env,
): SessionOptions {
  return {
    workers: jobs(flags.jobs),
    memory: memory(flags.memory),
    nice: nice(flags.nice),
    patience: patience(env.BANDWRIGHT_PATIENCE),
  };
}

/** What takes are traced with, by its name on the command line. Throws CliError. */
export function engineChoice(text: string | undefined): EngineChoice | undefined {
  const choice = ENGINE_CHOICES.find((name) => name === text);
  if (text !== undefined && !choice)
    throw new CliError(`--engine: expected auto, cpu or gpu but received ${text}`);
  return choice;
}

/** Tells that a take was not traced by the graphics card. */
export const coresInstead = (report: Report) => (why: string) =>
  report({
    event: 'warning',
    message: `the graphics card did not trace a take, the cores did, from its beginning: ${why}`,
  });

/** Lets this process yield from now on; what it starts inherits that. */
export function yieldToOthers({ nice }: SessionOptions): void {
  if (nice !== undefined) setPriority(nice);
}

/** Reasons to wait before a take. Tells once where a reason can't be known. Throws CliError. */
export function hindrances(
  flags: { 'pause-above-load'?: string; 'pause-on-battery'?: boolean },
  report: Report,
  battery = onBattery,
): Hindrance[] {
  const load = flags['pause-above-load'];
  const cores = Number(load);
  if (load !== undefined && !(cores > 0 && cores <= 1024))
    throw new CliError(
      `--pause-above-load: expected how many cores others may keep busy, such as 1.5, but received ${load}`,
    );
  const found: Hindrance[] = load === undefined ? [] : [othersAtWork(cores)];
  if (flags['pause-on-battery']) {
    if (battery() === undefined)
      report({
        event: 'warning',
        message: '--pause-on-battery: this system does not tell what it runs on; no pause is made',
      });
    else found.push(batteryHinders(battery));
  }
  return found;
}

function jobs(text: string | undefined): number | undefined {
  if (text === undefined) return undefined;
  const n = Number(text);
  if (!Number.isInteger(n) || n < 1 || n > 256)
    throw new CliError(`--jobs: expected a whole number from 1 to 256 but received ${text}`);
  return n;
}

function memory(text: string | undefined): number | undefined {
  if (text === undefined) return undefined;
  const bytes = byteCount('--memory', text);
  if (bytes < LEAST_MEMORY) throw new CliError(`--memory: expected at least 400 MB but received ${text}`);
  if (!SEES_PROCESSES)
    throw new CliError('--memory: expected Linux, where the memory of processes can be seen');
  return bytes;
}

function nice(text: string | undefined): number | undefined {
  if (text === undefined) return undefined;
  const n = Number(text);
  if (!/^\d+$/.test(text) || n < 1 || n > 19)
    throw new CliError(
      `--nice: expected a whole number from 1 to 19, the most yielding, but received ${text}`,
    );
  return n;
}

/** Seconds in the environment as ms. */
function patience(text: string | undefined): number | undefined {
  if (text === undefined) return undefined;
  if (!(Number(text) >= 1))
    throw new CliError(`BANDWRIGHT_PATIENCE: expected seconds, at least 1, but received ${text}`);
  return Number(text) * 1000;
}
