import type { Report, RunEvent } from '../artefacts/events.ts';
import { Pace } from '../run/pace.ts';
import { bytes, clockWording, count, duration, percent, rateWording } from '../words/amount-words.ts';

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
  let live = false;
  const line = (text: string) => {
    if (live) out.write('\r\x1b[2K');
    live = false;
    out.write(`${text}\n`);
  };
  const redraw = (text: string) => {
    if (!out.terminal) return;
    out.write(`\r\x1b[2K${text.slice(0, out.columns - 1)}`);
    live = true;
  };
  const pace = new Pace();
  const rate = (before: string, after: string) =>
    pace.perHour > 0 ? `${before}${rateWording(pace.perHour)}${after}` : '';
  let label = '';
  // what is redrawn may be cut off at the right: the rate stands before that
  let running = '';
  return (e: RunEvent) => {
    switch (e.event) {
      case 'planned':
        line(
          `${count(e.variants, 'variant')}${e.pairs ? ` and ${count(e.pairs, 'pair')}` : ''}: ${count(e.shapes, 'shape')}, ` +
            `${count(e.takes, 'take')} (${e.toTrace} to trace), ${count(e.pictures, 'picture')}` +
            (e.toTrace > 0
              ? `; about ${duration(e.predictedSeconds)} of tracing${e.measured ? '' : ' (first guess, nothing measured here yet)'}`
              : ''),
        );
        break;
      case 'shape':
        line(
          `shape ${e.done}/${e.total}  ${e.triangles.toLocaleString('en')} triangles, ${count(e.stones, 'stone')}  ${e.seconds.toFixed(1)} s`,
        );
        break;
      case 'shape-failed':
        line(`shape ${e.shape} cannot be built; left out: ${e.skus.join(', ')}`);
        for (const p of e.problems) line(`  ${p}`);
        break;
      case 'take-start':
        label = `take ${e.index}/${e.total}  ${e.label}  ${count(e.colourways, 'colourway')}`;
        pace.begin(now());
        running = label.replace('  ', `${rate(' at ', '/h')}  `);
        redraw(running);
        break;
      case 'take-progress':
        redraw(
          `${running}  pass ${e.passes}  error ${e.error === null ? '–' : percent(e.error)} of ${percent(e.target)}  open ${percent(e.open)}  ${duration(e.etaSeconds)} left${e.memory ? `  ${bytes(e.memory)}` : ''}`,
        );
        break;
      case 'take-done':
        pace.done(now());
        line(
          `${label}  ${e.passes} passes  error ${percent(e.error)}  ${e.seconds.toFixed(1)} s` +
            (e.etaSeconds > 0 ? `  ${duration(e.etaSeconds)} left` : '') +
            rate('  ', ' takes/h'),
        );
        break;
      case 'take-retry':
        line(`${label}  trying again (${e.attempt}): ${e.reason}`);
        break;
      case 'paused':
        line(`Pausing before the next take: ${e.reason}`);
        break;
      case 'resumed':
        pace.rest(1000 * e.seconds);
        line(`Going on after ${duration(e.seconds)}.`);
        break;
      case 'lowered':
        line(
          `To end by ${clockWording(new Date(e.until))} the noise target of what is left is ${percent(e.noise)} instead of ${percent(e.asked)}; a run without --until makes the full quality.`,
        );
        break;
      case 'left':
        line(
          `${count(e.takes.length, 'take')} left at ${clockWording(new Date(e.until))}: ${e.takes.join(', ')}`,
        );
        break;
      case 'waiting':
        line(e.message);
        break;
      case 'take-quarantined':
        line(`${e.label}  ${e.reason}; left out: ${e.skus.join(', ')}`);
        break;
      case 'sheet-failed':
        line(`sheet  ${e.sku}  could not be printed: ${e.reason}`);
        break;
      case 'take-failed':
        line(`${label}  failed: ${e.reason}; left out: ${e.skus.join(', ')}`);
        break;
      case 'model':
        line(`model  ${e.model}  ${bytes(e.bytes)}`);
        break;
      case 'comparison':
        line(`compared  ${e.shot} of ${e.sku} with its model: ΔE ${e.deltaE.toFixed(1)}`);
        break;
      case 'warning':
        line(`warning: ${e.message}`);
        break;
      case 'part':
        line(`part   ${e.part}  ${bytes(e.bytes)}; ${e.allowances}`);
        break;
      case 'sheet':
        line(`sheet  ${e.sku}  ${bytes(e.bytes)}`);
        break;
      case 'proof':
        line(`proof  ${e.file}  ${bytes(e.bytes)}`);
        break;
      case 'part-failed':
        line(`part ${e.part} cannot be built for the caster; without it: ${e.skus.join(', ')}`);
        for (const p of e.problems) line(`  ${p}`);
        break;
      case 'published':
        line(`catalogue ${e.folder}: ${e.written} written, ${e.unchanged} unchanged, ${e.removed} removed`);
        break;
      case 'done':
        if (e.upToDate)
          line(`Nothing to do: the catalogue is up to date (checked in ${e.seconds.toFixed(1)} s).`);
        else {
          line(
            `${e.made} made${e.failed.length ? `, ${e.failed.length} failed` : ''} in ${duration(e.seconds)}, ${bytes(e.bytes)} of pictures and models`,
          );
          if (e.failed.length) line(`failed: ${e.failed.join(', ')}`);
        }
        break;
    }
  };
}
