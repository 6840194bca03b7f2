/** Processes that tests end or stop from outside. */

/** Sends a signal to each of them that still runs: one may end between being listed and being sent it. */
export function signal(pids: Iterable<number>, name: 'SIGKILL' | 'SIGSTOP'): void {
  for (const pid of pids)
    try {
      process.kill(pid, name);
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code !== 'ESRCH') throw error;
    }
}
