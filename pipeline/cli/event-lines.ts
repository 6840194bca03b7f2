import type { RunEvent } from '../artefacts/events.ts';
import { bytes, clockWording, counted, duration, percent } from '../words/amount-words.ts';
import type { RunningTake } from './running-take.ts';

type EventName = RunEvent['event'];
type Lines = {
  [E in EventName]: (event: Extract<RunEvent, { event: E }>, take: RunningTake) => string | string[];
};

/** What stays on the screen of each event; nothing of those that are for records alone. */
const LINES: Lines = {
  planned: (e) =>
    `${counted(e.variants, 'variant')}${e.pairs ? ` and ${counted(e.pairs, 'pair')}` : ''}: ${counted(e.shapes, 'shape')}, ` +
    `${counted(e.takes, 'take')} (${e.toTrace} to trace), ${counted(e.pictures, 'picture')}` +
    (e.toTrace > 0
      ? `; about ${duration(e.predictedSeconds)} of tracing${e.measured ? '' : ' (first guess, nothing measured here yet)'}`
      : ''),
  shape: (e) =>
    `shape ${e.done}/${e.total}  ${e.triangles.toLocaleString('en')} triangles, ${counted(e.stones, 'stone')}  ${e.seconds.toFixed(1)} s`,
  'shape-failed': (e) => [
    `shape ${e.shape} cannot be built; left out: ${e.skus.join(', ')}`,
    ...e.problems.map((p) => `  ${p}`),
  ],
  'take-start': () => [],
  'take-progress': () => [],
  'take-done': (e, take) =>
    `${take.label}  ${e.passes} passes  error ${percent(e.error)}  ${e.seconds.toFixed(1)} s` +
    (e.etaSeconds > 0 ? `  ${duration(e.etaSeconds)} left` : '') +
    take.rate('  ', ' takes/h'),
  'take-retry': (e, { label }) => `${label}  trying again (${e.attempt}): ${e.reason}`,
  'take-quarantined': (e) => `${e.label}  ${e.reason}; left out: ${e.skus.join(', ')}`,
  'take-failed': (e, { label }) => `${label}  failed: ${e.reason}; left out: ${e.skus.join(', ')}`,
  paused: (e) => `Pausing before the next take: ${e.reason}`,
  resumed: (e) => `Going on after ${duration(e.seconds)}.`,
  lowered: (e) =>
    `To end by ${clockWording(new Date(e.until))} the noise target of what is left is ${percent(e.noise)} instead of ${percent(e.asked)}; a run without --until makes the full quality.`,
  left: (e) =>
    `${counted(e.takes.length, 'take')} left at ${clockWording(new Date(e.until))}: ${e.takes.join(', ')}`,
  waiting: (e) => e.message,
  warning: (e) => `warning: ${e.message}`,
  encoded: () => [],
  checks: () => [],
  model: (e) => `model  ${e.model}  ${bytes(e.bytes)}`,
  comparison: (e) => `compared  ${e.shot} of ${e.sku} with its model: ΔE ${e.deltaE.toFixed(1)}`,
  part: (e) => `part   ${e.part}  ${bytes(e.bytes)}; ${e.allowances}`,
  'part-failed': (e) => [
    `part ${e.part} cannot be built for the caster; without it: ${e.skus.join(', ')}`,
    ...e.problems.map((p) => `  ${p}`),
  ],
  sheet: (e) => `sheet  ${e.sku}  ${bytes(e.bytes)}`,
  'sheet-failed': (e) => `sheet  ${e.sku}  could not be printed: ${e.reason}`,
  proof: (e) => `proof  ${e.file}  ${bytes(e.bytes)}`,
  published: (e) =>
    `catalogue ${e.folder}: ${e.written} written, ${e.unchanged} unchanged, ${e.removed} removed`,
  done: (e) =>
    e.upToDate
      ? `Nothing to do: the catalogue is up to date (checked in ${e.seconds.toFixed(1)} s).`
      : [
          `${e.made} made${e.failed.length ? `, ${e.failed.length} failed` : ''} in ${duration(e.seconds)}, ${bytes(e.bytes)} of pictures and models`,
          ...(e.failed.length ? [`failed: ${e.failed.join(', ')}`] : []),
        ],
};

/** Plain lines of an event; `take` has followed it already. */
export function eventLines(event: RunEvent, take: RunningTake): string[] {
  // what an entry is given is always an event of its name, which the type cannot say
  const lines = LINES[event.event] as (event: RunEvent, take: RunningTake) => string | string[];
  return [lines(event, take)].flat();
}
