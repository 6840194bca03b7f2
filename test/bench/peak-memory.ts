/**
 * Most memory that Node and the browser's processes hold together while a large take with many colourways is traced.
 * Proportional set size (Linux, /proc/PID/smaps_rollup): pages shared between processes count once in all.
 */
import { spawn } from 'node:child_process';
import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import type { Measurement } from './measurement.ts';

export const peakMemory: Measurement = {
  name: 'memory',
  about: 'peak memory of browser and Node for 1600² pixels in 16 colourways',
  async run({ quick, record, say }) {
    if (process.platform !== 'linux') {
      say('needs /proc of Linux');
      return;
    }
    const [side, colourways] = quick ? [400, 4] : [1600, 16];
    const script = fileURLToPath(new URL('memory-take.ts', import.meta.url));
    // a process of its own, so that nothing this one has left over counts
    const child = spawn(process.execPath, ['--import', 'tsx', script, String(side), String(colourways)], {
      stdio: ['ignore', 'inherit', 'inherit'],
    });
    const ended = new Promise<number | null>((resolve) => child.once('exit', resolve));
    let peak = new Map<string, number>();
    const sum = (parts: Map<string, number>) => [...parts.values()].reduce((a, b) => a + b, 0);
    const timer = setInterval(() => {
      const parts = new Map([['Node', memoryOf(child.pid ?? 0)]]);
      for (const pid of descendants(child.pid ?? 0)) {
        const kind = kindOf(pid);
        parts.set(kind, (parts.get(kind) ?? 0) + memoryOf(pid));
      }
      if (sum(parts) > sum(peak)) peak = parts;
    }, 200);
    const code = await ended;
    clearInterval(timer);
    if (code !== 0) throw new Error(`the take ended with ${code}`);
    record(quick ? 'peak_memory_quick_gb' : 'peak_memory_gb', sum(peak) / 1e9, 'GB');
    say([...peak].map(([kind, bytes]) => `${kind} ${(bytes / 1e9).toFixed(2)} GB`).join(', '));
  },
};

function descendants(root: number): number[] {
  const children = new Map<number, number[]>();
  for (const name of readdirSync('/proc')) {
    const pid = Number(name);
    if (!(pid > 0)) continue;
    try {
      // the name in brackets may hold anything; after it come state and parent
      const stat = readFileSync(`/proc/${pid}/stat`, 'utf8');
      const parent = Number(stat.slice(stat.lastIndexOf(')') + 2).split(' ')[1]);
      children.set(parent, [...(children.get(parent) ?? []), pid]);
    } catch {}
  }
  const found: number[] = [];
  const open = [root];
  for (let pid = open.pop(); pid !== undefined; pid = open.pop()) {
    const below = children.get(pid) ?? [];
    found.push(...below);
    open.push(...below);
  }
  return found;
}

/** What a process of the browser is for. */
function kindOf(pid: number): string {
  try {
    return /--type=([a-z-]+)/.exec(readFileSync(`/proc/${pid}/cmdline`, 'utf8'))?.[1] ?? 'browser';
  } catch {
    return 'browser';
  }
}

/** Bytes; 0 for a process that has gone. */
function memoryOf(pid: number): number {
  try {
    const line = /^Pss:\s+(\d+) kB/m.exec(readFileSync(`/proc/${pid}/smaps_rollup`, 'utf8'));
    return Number(line?.[1] ?? 0) * 1024;
  } catch {
    return 0;
  }
}
