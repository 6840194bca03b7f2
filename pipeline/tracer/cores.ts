import { readFileSync } from 'node:fs';
import { availableParallelism } from 'node:os';

/**
 * Cores this process may really use: those it may run on, or fewer when a container has a CPU quota (Linux kernel
 * documentation, cgroup v2, `cpu.max`: quota and period in µs, or `max`), which Node 20 does not look at.
 */
export function usableCores(
  available = availableParallelism(),
  quotaFile = '/sys/fs/cgroup/cpu.max',
): number {
  let line: string;
  try {
    line = readFileSync(quotaFile, 'utf8');
  } catch {
    return available;
  }
  const [quota, period] = line.trim().split(' ').map(Number);
  return quota > 0 && period > 0 ? Math.max(1, Math.min(available, Math.ceil(quota / period))) : available;
}
