import { resolve } from 'node:path';
import { makeOnQueue } from '../farm/queue-make.ts';
import { openQueueUrl, PASSWORD_ON_COMMAND_LINE } from '../farm/queue-password.ts';
import { withoutPassword } from '../farm/queue-url.ts';
import { readPlan } from '../plan/read-plan.ts';
import { formatProblem } from '../problem.ts';
import { nextClockTime } from '../run/deadline.ts';
import { draftPlan } from '../run/draft.ts';
import type { Report } from '../run/events.ts';
import { type MakeOptions, makeCatalogue } from '../run/make.ts';
import { PROVEN } from '../run/proven-files.ts';
import { makeShare, readShare } from '../run/share.ts';
import { createTracerSession } from '../tracer/session.ts';
import { openEventFile } from './event-file.ts';
import { EXIT } from './exit.ts';
import { watchInterrupts } from './interrupts.ts';
import {
  hindrances,
  MACHINE_OPTIONS,
  PAUSE_OPTIONS,
  sessionOptions,
  yieldToOthers,
} from './machine-flags.ts';
import { jsonReport, type Streams, textReport } from './progress.ts';
import { rerunCommand, withoutUntil } from './rerun.ts';
import { ENDING_OPTIONS, type RunWatch, recorded } from './run-ending.ts';
import { skuFilter } from './sku-filter.ts';
import { CliError, parseCommand } from './usage.ts';

const OPTIONS = {
  out: { type: 'string', default: 'output' },
  only: { type: 'string' },
  draft: { type: 'boolean', default: false },
  ...MACHINE_OPTIONS,
  ...PAUSE_OPTIONS,
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
  const command = parseCommand(args, OPTIONS);
  const { config, values } = command;
  return recorded(args, config, values, streams, (watch) => makeWatched(args, command, streams, watch));
}

async function makeWatched(
  args: readonly string[],
  { values, config }: ReturnType<typeof parseCommand<typeof OPTIONS>>,
  { out, err }: Streams,
  watch: RunWatch,
): Promise<number> {
  const session = sessionOptions(values);
  const until = endOf(values.until);
  const share = values.shard === undefined ? undefined : readShare(values.shard);
  const queue = values.queue === undefined ? undefined : openQueueUrl(values.queue, process.env);
  if (share && queue) throw new CliError('--shard and --queue: expected one of them but received both');
  if (until && queue)
    throw new CliError('--until and --queue: how long workers will need is not known; expected one of them');
  if (values.queue !== undefined && withoutPassword(values.queue) !== values.queue)
    err.write(`${PASSWORD_ON_COMMAND_LINE}\n`);
  const { plan, warnings } = await readPlan(config, PROVEN);
  for (const w of warnings) err.write(`${formatProblem(w)}\n`);
  const wanted = skuFilter(
    values.only,
    [...plan.variants, ...plan.pairs].map((v) => v.sku),
  );
  const events = values.events === undefined ? undefined : openEventFile(values.events);
  const show = values.json ? jsonReport(out) : textReport(out);
  const interrupts = watchInterrupts((line) => err.write(`${line}\n`));
  const report: Report = (event) => {
    events?.report(event);
    watch.report(event);
    show(event);
  };
  yieldToOthers(session);
  try {
    const asked = values.draft ? draftPlan(plan) : plan;
    watch.makes(asked, values.shard);
    const options: MakeOptions = {
      out: resolve(values.out),
      only: wanted,
      openTracer: () => createTracerSession({ ...session, onUnsandboxed: unsandboxed(report) }),
      report,
      signal: interrupts.signal,
      wait: values.wait,
      retry: values.retry,
      until,
      workers: session.workers,
      hindrances: hindrances(values, report),
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

/** Only pages of our own are opened, but who runs this may want to know and give it a user of its own. */
export function unsandboxed(report: Report): (browser: string) => void {
  return (browser) =>
    report({
      event: 'warning',
      message: `Chromium runs without its sandbox here, as it must for root and in many containers (${browser})`,
    });
}

function endOf(text: string | undefined): Date | undefined {
  if (text === undefined) return undefined;
  const at = nextClockTime(text, new Date());
  if (!at) throw new CliError(`--until: expected a time of day such as 07:00 but received ${text}`);
  return at;
}
