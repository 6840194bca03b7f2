/**
 * Ctrl-C once asks the run to end in good order, a second time ends it at once; a request from the system (SIGTERM,
 * a closed terminal) asks and allows DEADLINE_MS. Ending at once still takes along what this process started: browsers,
 * temporary files and the lease are cleared by handlers of its exit.
 */
import { EXIT } from './exit.ts';

const DEADLINE_MS = 20_000;
/** A second signal as soon as this is the first: terminals and npm both pass on the same Ctrl-C. */
const ECHO_MS = 400;

export interface Interrupts {
  /** fires when the run is to end */
  signal: AbortSignal;
  dispose(): void;
}

export function watchInterrupts(
  tell: (line: string) => void,
  exit: (code: number) => void = (code) => process.exit(code),
): Interrupts {
  const stop = new AbortController();
  let first = Number.POSITIVE_INFINITY;
  let deadline: NodeJS.Timeout | undefined;
  const ask = (line: string) => {
    first = performance.now();
    tell(line);
    stop.abort();
  };
  const interrupt = () => {
    if (!stop.signal.aborted)
      ask('Stopping: what is at hand is finished and kept. Press Ctrl-C again to stop at once.');
    else if (performance.now() - first > ECHO_MS) exit(EXIT.interrupted);
  };
  const terminate = () => {
    if (!stop.signal.aborted) ask('Asked to end: what is at hand is finished and kept.');
    deadline ??= setTimeout(() => exit(EXIT.interrupted), DEADLINE_MS).unref();
  };
  process.on('SIGINT', interrupt);
  process.on('SIGTERM', terminate);
  process.on('SIGHUP', terminate);
  return {
    signal: stop.signal,
    dispose: () => {
      clearTimeout(deadline);
      process.off('SIGINT', interrupt);
      // one that comes while an interrupted command is on its last steps still ends it with its exit code
      if (stop.signal.aborted) process.once('SIGINT', () => exit(EXIT.interrupted));
      process.off('SIGTERM', terminate);
      process.off('SIGHUP', terminate);
    },
  };
}
