/** A run in one paragraph, for the end of a command's output or a mail. Exact counts, from the record alone. */
import { bytes, clockWording, counted, duration, percent, rateWording } from '../words/amount-words.ts';
import type { RunRecord, TakeEnd, TakeSpan } from './run-record.ts';

/** SKUs named in a sentence; the rest is counted. */
const NAMED = 6;
/** Columns of the paragraph (RFC 5322, 2.1.1: lines of a mail should be no longer than 78). */
const COLUMNS = 76;

/** How a run ended, in a few words. */
export function endingWords({ exit, upToDate, failed, left, problem }: RunRecord): string {
  // of a fault of the program itself, with which Node ends as with 1
  if (exit === 1 && problem !== undefined) return 'Broke off';
  switch (exit) {
    case 0:
      return upToDate ? 'Nothing was to do' : 'All made';
    case 1:
      return `Done, ${failed.length} failed`;
    case 2:
      return 'Could not go on';
    case 3:
      return `Ended in time, ${counted(left.length, 'take')} left`;
    case 130:
      return 'Stopped when asked';
    default:
      return 'Broke off';
  }
}

/** Of the takes begun, how many ended so. */
export const takesThat = ({ takes }: RunRecord, end: TakeEnd) => takes.filter((t) => t.end === end).length;

export const madeOf = ({ takes }: RunRecord) => takes.filter((t) => t.end === 'made');

/** Seconds of a take by the clock, and of all that were made; as foretold for a machine that has nothing else to do. */
export const tookOf = ({ from, to }: TakeSpan) => (to - from) / 1000;
export const tookAll = (record: RunRecord) => madeOf(record).reduce((sum, t) => sum + tookOf(t), 0);
export const foretoldAll = (record: RunRecord) => madeOf(record).reduce((sum, t) => sum + t.foretold, 0);

export const retriesOf = ({ takes }: RunRecord) => takes.reduce((n, t) => n + t.retries.length, 0);

export const quarantinesOf = ({ faults }: RunRecord) =>
  faults.filter(({ kind }) => kind === 'take' || kind === 'quarantine').length;

/** Wrapped; if wanted and there is something to go on with, with the command for it on a line of its own. */
export function summaryText(record: RunRecord, withCommand: boolean): string {
  const goOn = withCommand && record.exit !== 0;
  const paragraph = wrap([...sentences(record), ...(goOn ? ['To go on:'] : [])].join(' '));
  return goOn ? `${paragraph}\n\n  ${record.rerun}\n` : `${paragraph}\n`;
}

function sentences(record: RunRecord): string[] {
  const { catalogue, share, started, ended, exit, problem } = record;
  const name = share ? `share ${share} of ${catalogue}` : catalogue;
  const took = duration((ended - started) / 1000);
  return [
    `${endingWords(record)}: ${name}, ${clockWording(new Date(started))} to ${clockWording(new Date(ended))} (${took}), exit status ${exit}.`,
    ...(problem ? [`It ended with: ${stopped(oneLine(problem))}`] : []),
    ...madeSentences(record),
    ...traceSentences(record),
    checkSentence(record),
    ...heldSentences(record),
    `Peak memory ${memoryWords(record)}.`,
  ].filter((s) => s !== '');
}

const named = (names: readonly string[]) =>
  names.length > NAMED
    ? `${names.slice(0, NAMED).join(', ')} and ${names.length - NAMED} more`
    : names.join(', ');

function madeSentences({ made, failed, left }: RunRecord): string[] {
  return [
    ...(made === undefined
      ? []
      : [`Bands and pairs in the catalogue: ${made} made, ${failed.length} failed.`]),
    ...(failed.length > 0 ? [`Without: ${named(failed)}.`] : []),
    ...(left.length > 0 ? [`Left for want of time: ${named(left)}.`] : []),
  ];
}

function traceSentences(record: RunRecord): string[] {
  const { planned, held, encodes, shapes, takesPerHour, lowered, faults, workers, pauses } = record;
  if (!planned) return [];
  const made = madeOf(record);
  const rate = takesPerHour > 0 ? ` at ${rateWording(takesPerHour)} an hour` : '';
  const worst = [...made].sort((a, b) => b.reached / b.asked - a.reached / a.asked)[0];
  return [
    `Of ${counted(planned.takes, 'take')} the store held ${held.takes}${workers ? ', those that workers made in this run included,' : ''} and ${made.length} were traced${rate}; ` +
      `of ${counted(planned.pictures, 'picture')} it held ${held.pictures} and ${encodes.length / 2} were encoded; ` +
      `${counted(shapes.length, 'shape')} built.`,
    ...(made.length > 0
      ? [`Tracing took ${duration(tookAll(record))}, foretold were ${duration(foretoldAll(record))}.`]
      : []),
    ...(pauses.times > 0
      ? [
          `It paused ${pauses.times === 1 ? 'once' : `${pauses.times} times`}, ${duration(pauses.seconds)} in all.`,
        ]
      : []),
    ...(lowered
      ? [
          `To end in time the noise target was ${percent(lowered.noise)} instead of ${percent(lowered.asked)}.`,
        ]
      : []),
    ...(worst
      ? [`Noise at worst ${percent(worst.reached)} where ${percent(worst.asked)} was asked (${worst.label}).`]
      : []),
    `${triesWords(retriesOf(record))} at takes, ${counted(quarantinesOf(record), 'take')} given up or in quarantine, ` +
      `${counted(faults.filter(({ kind }) => kind === 'shape').length, 'shape')} that cannot be built.`,
  ];
}

function checkSentence({ checks, made }: RunRecord): string {
  if (made === undefined) return '';
  const bands = (waived: boolean) => checks.filter((c) => (c.waived !== undefined) === waived).length;
  return `Bench rules failed: ${bands(false)}; waived: ${bands(true)}.`;
}

function heldSentences({ heldBack }: RunRecord): string[] {
  if (heldBack.length === 0) return [];
  const skus = named(heldBack.map(({ sku }) => sku));
  return [`Held back from feed, structured data, prices and proofs for bench errors: ${skus}.`];
}

/** `512.0 MB (Node)`, or with the browser. */
export function memoryWords({ peakMemory, peakWithBrowser }: RunRecord): string {
  const node = `${bytes(peakMemory)} of Node`;
  return peakWithBrowser ? `${node}, ${bytes(peakWithBrowser)} with the browser` : node;
}

const triesWords = (n: number) => (n === 1 ? '1 further try' : `${n} further tries`);
const oneLine = (text: string) => text.replace(/\s+/g, ' ').trim();
const stopped = (text: string) => (/[.!?\]]$/.test(text) ? text : `${text}.`);

/** Between words, but not between a figure and its unit. */
const GAP = / (?!(?:s|min|h|kB|MB|GB|%)(?:\W|$))/;

function wrap(text: string): string {
  const lines = [''];
  for (const word of text.split(GAP)) {
    const line = lines[lines.length - 1];
    if (line.length > 0 && line.length + 1 + word.length > COLUMNS) lines.push(word);
    else lines[lines.length - 1] = line ? `${line} ${word}` : word;
  }
  return lines.join('\n');
}
