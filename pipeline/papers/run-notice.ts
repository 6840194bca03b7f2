/** A run as data for a machine that wants to know of it. `version` rises when a reader of the old form would go wrong. */
import type { RunRecord } from './run-record.ts';
import { endingWords, quarantinesOf, retriesOf, summaryText, takesThat } from './run-summary.ts';

/** SKUs and takes named; all are counted. */
const NAMED = 100;

export function runNotice(record: RunRecord) {
  const { catalogue, title, share, started, ended, exit, problem, planned, held, checks } = record;
  const start = new Date(started).toISOString();
  return {
    version: 1,
    /** the same for every try at telling of one run */
    run: `${catalogue} ${start}`,
    catalogue,
    title,
    ...(share === undefined ? {} : { share }),
    started: start,
    ended: new Date(ended).toISOString(),
    seconds: (ended - started) / 1000,
    exit,
    ending: endingWords(record),
    ...(problem === undefined ? {} : { problem }),
    text: summaryText(record, false),
    made: record.made ?? null,
    failed: named(record.failed),
    left: named(record.left),
    takes: {
      planned: planned?.takes ?? null,
      held: held.takes,
      traced: takesThat(record, 'made'),
      furtherTries: retriesOf(record),
      givenUp: quarantinesOf(record),
      perHour: record.takesPerHour,
    },
    pictures: {
      planned: planned?.pictures ?? null,
      held: held.pictures,
      encoded: record.encodes.length / 2,
    },
    checks: {
      failed: checks.filter((c) => c.waived === undefined).length,
      waived: checks.filter((c) => c.waived !== undefined).length,
    },
    peakMemoryBytes: record.peakMemory,
    rerun: record.rerun,
  };
}

const named = (names: readonly string[]) => ({ count: names.length, names: names.slice(0, NAMED) });
