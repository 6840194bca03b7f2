import { resolve } from 'node:path';
import type { Report } from '../artefacts/events.ts';
import type { makeOnQueue } from '../farm/queue-make.ts';
import { openQueueUrl, PASSWORD_ON_COMMAND_LINE } from '../farm/queue-password.ts';
import { withoutPassword } from '../farm/queue-url.ts';
import type { Plan } from '../plan/plan.ts';
import { readPlan } from '../plan/read-plan.ts';
import { formatProblem } from '../problem.ts';
import { shotNames, withShots } from '../run/chosen-shots.ts';
import { nextClockTime } from '../run/deadline.ts';
import { draftPlan } from '../run/draft.ts';
import { type MakeOptions, type MakeResult, makeCatalogue } from '../run/make.ts';
import { PROVEN } from '../run/proven-files.ts';
import { makeShare, readShard, type ShareResult } from '../run/share.ts';
import { chooseEngine } from '../tracer/engine-choice.ts';
import { createTracerSession } from '../tracer/session.ts';
import { openEventFile } from './event-file.ts';
import { EXIT } from './exit.ts';
import { watchInterrupts } from './interrupts.ts';
import {
  coresInstead,
  engineChoice,
  hindrances,
  MACHINE_OPTIONS,
  PAUSE_OPTIONS,
  sessionOptions,
  yieldToOthers,
} from './machine-flags.ts';
import { withOutput } from './output-folder.ts';
import { jsonReport, type Streams, textReport } from './progress.ts';
import { rerunCommand, withoutUntil } from './rerun.ts';
import { ENDING_OPTIONS, type RunWatch, recorded } from './run-ending.ts';
import { skuFilter } from './sku-filter.ts';
import { CliError, parseCommand } from './usage.ts';

const OPTIONS = {
  out: { type: 'string' },
  only: { type: 'string' },
  shot: { type: 'string', multiple: true },
  draft: { type: 'boolean', default: false },
  ...MACHINE_OPTIONS,
  engine: { type: 'string' },
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

export async function makeCommand(args: readonly string[], streams: Streams): Promise<number> {
  const command = withOutput(parseCommand(args, OPTIONS));
  const { config, values } = command;
  return recorded(args, config, values, streams, (watch) => makeWatched(args, command, streams, watch));
}

/** The queue's client is loaded by those who use one. */
async function onQueue(...args: Parameters<typeof makeOnQueue>): Promise<MakeResult> {
  const { makeOnQueue } = await import('../farm/queue-make.ts');
  return makeOnQueue(...args);
}

type Command = ReturnType<typeof withOutput<ReturnType<typeof parseCommand<typeof OPTIONS>>['values']>>;
type Values = Command['values'];

/** When to end, by what to trace, and with whom the work is shared; of ways that exclude each other one alone. */
function wayOf(values: Values) {
  const until = endOf(values.until);
  const share = values.shard === undefined ? undefined : readShard(values.shard);
  const queue = values.queue === undefined ? undefined : openQueueUrl(values.queue, process.env);
  if (share && queue) throw new CliError('--shard and --queue: expected one of them but received both');
  if (until && queue)
    throw new CliError('--until and --queue: how long workers will need is not known; expected one of them');
  const choice = engineChoice(values.engine);
  if (queue && choice)
    throw new CliError(
      '--engine and --queue: expected --engine at each worker, since the maker traces nothing',
    );
  return { until, share, queue, choice };
}

async function makeWatched(
  args: readonly string[],
  { values, config }: Command,
  streams: Streams,
  watch: RunWatch,
): Promise<number> {
  const { out, err } = streams;
  const session = sessionOptions(values);
  const { until, share, queue, choice } = wayOf(values);
  if (values.queue !== undefined && withoutPassword(values.queue) !== values.queue)
    err.write(`${PASSWORD_ON_COMMAND_LINE}\n`);
  const { plan, warnings, sources } = await readPlan(config, PROVEN);
  for (const w of warnings) err.write(`${formatProblem(w)}\n`);
  const seen = inShots(plan, values.shot);
  const wanted = skuFilter(values.only, seen);
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
    const wish = queue ? 'cpu' : (choice ?? plan.quality.engine);
    session.engine = (await chooseEngine(wish, session)).engine;
    const asked = values.draft ? draftPlan(seen) : seen;
    watch.makes(asked, values.shard);
    const options: MakeOptions = {
      out: values.out,
      only: wanted,
      openTracer: () =>
        createTracerSession({
          ...session,
          onUnsandboxed: unsandboxed(report),
          onInstead: coresInstead(report),
        }),
      report,
      sources,
      signal: interrupts.signal,
      wait: values.wait,
      retry: values.retry,
      until,
      workers: session.workers,
      tracedBy: session.engine,
      // who names an engine wants its films
      anyEngine: choice === undefined || choice === 'auto',
      hindrances: hindrances(values, report),
    };
    if (share) {
      const made = await makeShare(asked, share, options);
      watch.result = made;
      return endOfShare(made, values, streams);
    }
    const result = await (queue ? onQueue(asked, queue, options) : makeCatalogue(asked, options));
    watch.result = result;
    return endOfCatalogue(result, args, values, streams);
  } finally {
    interrupts.dispose();
    events?.close();
  }
}

/** The plan in the shots that are asked for, each by a flag of its own or with commas between them. */
function inShots(plan: Plan, asked: readonly string[] | undefined): Plan {
  if (!asked) return plan;
  const names = [...new Set(asked.flatMap((list) => list.split(',')).map((name) => name.trim()))];
  const known = shotNames(plan);
  const unknown = names.filter((name) => !known.includes(name));
  if (unknown.length > 0)
    throw new CliError(
      `--shot: expected shots of the config, ${known.join(', ')}, but received ${unknown.map((name) => name || 'nothing').join(', ')}`,
    );
  const seen = withShots(plan, names);
  if (!seen) throw new CliError(`--shot: no band of the config is taken in ${names.join(', ')}`);
  return seen;
}

/** Tells what came of a share; @returns the exit code */
function endOfShare(made: ShareResult, { json, shard }: Values, { out, err }: Streams): number {
  if (!json) {
    for (const [sku, why] of made.failed) err.write(`${sku}: ${why}\n`);
    out.write(`share ${shard}: ${made.takes} takes in the store; nothing is published\n`);
  }
  return made.failed.size > 0 ? EXIT.failed : EXIT.ok;
}

/** Tells what came of a catalogue and how to go on; @returns the exit code */
function endOfCatalogue(
  { failed, retriable, folder, left }: MakeResult,
  args: readonly string[],
  { json }: Values,
  { out, err }: Streams,
): number {
  if (!json) {
    for (const [sku, why] of failed) err.write(`${sku}: ${why}\n`);
    if (retriable) err.write(`To try what failed once more:\n  ${rerunCommand(args, ['--retry'])}\n`);
    out.write(`${resolve(folder, 'index.html')}\n`);
    if (left.length > 0)
      err.write(`To make what is left, in full quality:\n  ${rerunCommand(withoutUntil(args), [])}\n`);
  }
  if (left.length > 0) return EXIT.unfinished;
  return failed.size > 0 ? EXIT.failed : EXIT.ok;
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
