/** Waits between takes while the machine is wanted for something else. */
import { readdirSync, readFileSync } from 'node:fs';
import { cpus } from 'node:os';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import type { Report } from '../artefacts/events.ts';

/** A reason to wait now, in words; undefined when there is none. */
export type Hindrance = () => Promise<string | undefined>;

export interface PauseOptions {
  hindrances: readonly Hindrance[];
  report: Report;
  signal: AbortSignal;
  /** ms between looks while it waits */
  every?: number;
}

const EVERY_MS = 15_000;

/**
 * Resolves when nothing hinders, and says so when it had to wait. A take that runs is not interrupted.
 * @throws AbortError when the signal fires
 */
export async function untilNothingHinders(options: PauseOptions): Promise<void> {
  const { hindrances, report, signal, every = EVERY_MS } = options;
  const first = async () => {
    for (const look of hindrances) {
      const reason = await look();
      if (reason) return reason;
    }
    return undefined;
  };
  let told: string | undefined;
  const start = performance.now();
  for (let reason = await first(); reason; reason = await first()) {
    if (!told) report({ event: 'paused', reason });
    told = reason;
    await pause(every, undefined, { signal });
  }
  if (told) report({ event: 'resumed', seconds: (performance.now() - start) / 1000 });
}

/** ms of processor time: of the whole machine, and of this process with all its threads */
export interface BusyTime {
  machine(): number;
  own(): number;
}

const HERE: BusyTime = {
  machine: () => cpus().reduce((sum, { times }) => sum + times.user + times.nice + times.sys + times.irq, 0),
  own: () => {
    const { user, system } = process.cpuUsage();
    return (user + system) / 1000;
  },
};

/**
 * Others keep more than `cores` cores busy, measured over `ms`. Taken between takes, when our browser stands still: what
 * is not this process's is then somebody else's. (The system's load average would count our own last minute.)
 */
export function othersAtWork(cores: number, ms = 1000, busy: BusyTime = HERE): Hindrance {
  return async () => {
    const start = performance.now();
    const [machine, own] = [busy.machine(), busy.own()];
    await pause(ms);
    const elapsed = performance.now() - start;
    const others = (busy.machine() - machine - (busy.own() - own)) / elapsed;
    if (others <= cores) return undefined;
    return `other programs keep ${others.toFixed(1)} cores busy, more than ${cores}`;
  };
}

const SUPPLIES = '/sys/class/power_supply';

/**
 * The machine runs on its battery (Linux kernel documentation, power_supply class: `online` of a supply of type Mains or
 * USB, `status` of a Battery). @returns undefined where the system doesn't tell
 */
export function onBattery(folder = SUPPLIES): boolean | undefined {
  const read = (supply: string, name: string) => {
    try {
      return readFileSync(join(folder, supply, name), 'utf8').trim();
    } catch {
      return '';
    }
  };
  let names: string[];
  try {
    names = readdirSync(folder);
  } catch {
    return undefined;
  }
  const kinds = names.map((name) => ({ name, type: read(name, 'type'), scope: read(name, 'scope') }));
  // the battery of a mouse or a pen is not the machine's
  const batteries = kinds.filter((s) => s.type === 'Battery' && s.scope !== 'Device');
  if (batteries.length === 0) return kinds.some((s) => s.type === 'Mains') ? false : undefined;
  const plugs = kinds.filter((s) => s.type === 'Mains' || s.type === 'USB');
  if (plugs.some((s) => read(s.name, 'online') === '1')) return false;
  return batteries.some((s) => read(s.name, 'status') === 'Discharging');
}

export function batteryHinders(look: () => boolean | undefined = onBattery): Hindrance {
  return async () => (look() ? 'the machine runs on its battery' : undefined);
}
