/**
 * Most memory that Node and the browser's processes hold together while a large take with many colourways is traced.
 * Proportional set size (Linux, /proc/PID/smaps_rollup): pages shared between processes count once in all.
 */
import { spawn } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { descendants, memoryOf } from '../../pipeline/tracer/process-tree.ts';
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
    const child = spawn(
      process.execPath,
      ['--import', './pipeline/cli/typescript.mjs', script, String(side), String(colourways)],
      {
        stdio: ['ignore', 'inherit', 'inherit'],
      },
    );
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

/** What a process of the browser is for. */
function kindOf(pid: number): string {
  try {
    return /--type=([a-z-]+)/.exec(readFileSync(`/proc/${pid}/cmdline`, 'utf8'))?.[1] ?? 'browser';
  } catch {
    return 'browser';
  }
}
