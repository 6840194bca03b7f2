import { resolve } from 'node:path';
import { readPlan } from '../catalogue/read-plan.ts';
import { makeOnQueue } from '../farm/queue-make.ts';
import { readQueueUrl } from '../farm/queue-url.ts';
import { formatProblem } from '../problem.ts';
import { nextClockTime } from '../run/deadline.ts';
import { draftPlan } from '../run/draft.ts';
import { type MakeOptions, makeCatalogue } from '../run/make.ts';
import { makeShare, readShare } from '../run/share.ts';
import { createTracerSession } from '../tracer/session.ts';
import { openEventFile } from './event-file.ts';
import { EXIT } from './exit.ts';
import { watchInterrupts } from './interrupts.ts';
import { jsonReport, type Streams, textReport } from './progress.ts';
import { rerunCommand, withoutUntil } from './rerun.ts';
import { ENDING_OPTIONS, type RunWatch, recorded } from './run-ending.ts';
import { skuFilter } from './sku-filter.ts';
import { CliError, parseCommand } from './usage.ts';

const OPTIONS = {
  out: { type: 'string', default: 'output' },
  only: { type: 'string' },
  draft: { type: 'boolean', default: false },
  jobs: { type: 'string' },
  wait: { type: 'boolean', default: false },
  retry: { type: 'boolean', default: false },
  until: { type: 'string' },
  events: { type: 'string' },
  ...ENDING_OPTIONS,
  shard: { type: 'string' },
  queue: { type: 'string' },
  json: { type: 'boolean', default: false },
} as const;

export async function make(args: readonly string[], streams: Streams): Promise<number> {
  const { values, config } = parseCommand(args, OPTIONS);
  return recorded(args, config, values, streams, (watch) => makeWatched(args, streams, watch));
}

async function makeWatched(args: readonly string[], { out, err }: Streams, watch: RunWatch): Promise<number> {
  const { values, config } = parseCommand(args, OPTIONS);
  const workers = jobs(values.jobs);
  const until = endOf(values.until);
  const share = values.shard === undefined ? undefined : readShare(values.shard);
  const queue = values.queue === undefined ? undefined : readQueueUrl(values.queue);
  if (share && queue) throw new CliError('--shard and --queue: expected one of them but received both');
  const { plan, warnings } = await readPlan(config);
  for (const w of warnings) err.write(`${formatProblem(w)}\n`);
  const wanted = skuFilter(
    values.only,
    [...plan.variants, ...plan.pairs].map((v) => v.sku),
  );
  const events = values.events === undefined ? undefined : openEventFile(values.events);
  const show = values.json ? jsonReport(out) : textReport(out);
  const interrupts = watchInterrupts((line) => err.write(`${line}\n`));
  try {
    const asked = values.draft ? draftPlan(plan) : plan;
    watch.makes(asked, values.shard);
    const options: MakeOptions = {
      out: resolve(values.out),
      only: wanted,
      openTracer: () => createTracerSession({ workers, patience: patience(process.env.BANDWRIGHT_PATIENCE) }),
      report: (event) => {
        events?.report(event);
        watch.report(event);
        show(event);
      },
      signal: interrupts.signal,
      wait: values.wait,
      retry: values.retry,
      until,
    };
    if (share) {
      const made = await makeShare(asked, share, options);
      watch.result = made;
      if (!values.json) {
        for (const [sku, why] of made.failed) err.write(`${sku}: ${why}\n`);
        out.write(`share ${values.shard}: ${made.takes} takes in the store; nothing is published\n`);
      }
      return made.failed.size > 0 ? EXIT.failed : EXIT.ok;
    }
    const result = await (queue ? makeOnQueue(asked, queue, options) : makeCatalogue(asked, options));
    watch.result = result;
    if (!values.json) {
      for (const [sku, why] of result.failed) err.write(`${sku}: ${why}\n`);
      if (result.retriable)
        err.write(`To try what failed once more:\n  ${rerunCommand(args, ['--retry'])}\n`);
      out.write(`${resolve(result.folder, 'index.html')}\n`);
    }
    if (result.left.length > 0) {
      if (!values.json)
        err.write(`To make what is left, in full quality:\n  ${rerunCommand(withoutUntil(args), [])}\n`);
      return EXIT.unfinished;
    }
    return result.failed.size > 0 ? EXIT.failed : EXIT.ok;
  } finally {
    interrupts.dispose();
    events?.close();
  }
}

function endOf(text: string | undefined): Date | undefined {
  if (text === undefined) return undefined;
  const at = nextClockTime(text, new Date());
  if (!at) throw new CliError(`--until: expected a time of day such as 07:00 but received ${text}`);
  return at;
}

/** Seconds in the environment as ms. */
export function patience(text: string | undefined): number | undefined {
  if (text === undefined) return undefined;
  if (!(Number(text) >= 1))
    throw new CliError(`BANDWRIGHT_PATIENCE: expected seconds, at least 1, but received ${text}`);
  return Number(text) * 1000;
}

export function jobs(text: string | undefined): number | undefined {
  if (text === undefined) return undefined;
  const n = Number(text);
  if (!Number.isInteger(n) || n < 1 || n > 256)
    throw new CliError(`--jobs: expected a whole number from 1 to 256 but received ${text}`);
  return n;
}
