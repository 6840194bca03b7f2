import type { Report } from '../artefacts/events.ts';
import { bytes, duration, percent } from '../words/amount-words.ts';
import { eventLines } from './event-lines.ts';
import { RunningTake } from './running-take.ts';

/** Where text goes; `columns` is set on a terminal. */
export interface Out {
  write(text: string): void;
  terminal: boolean;
  columns: number;
}

/** Where the commands' text goes. */
export interface Streams {
  out: Out;
  err: Out;
}

export { bytes, duration, percent };

/** One JSON object a line, for scripts. */
export function jsonReport(out: Out): Report {
  return (event) => out.write(`${JSON.stringify(event)}\n`);
}

/** Plain lines; on a terminal the running take is redrawn in place. */
export function textReport(out: Out, now = () => performance.now()): Report {
  const take = new RunningTake(now);
  let live = false;
  return (e) => {
    const running = take.follow(e);
    for (const text of eventLines(e, take)) {
      out.write(`${live ? '\r\x1b[2K' : ''}${text}\n`);
      live = false;
    }
    if (running === undefined || !out.terminal) return;
    out.write(`\r\x1b[2K${running.slice(0, out.columns - 1)}`);
    live = true;
  };
}
