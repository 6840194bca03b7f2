/** What `make` leaves to read of a run, however it ended: its report, its summary, word to whoever wants to know. */
import { cpus, hostname, totalmem } from 'node:os';
import { resolve } from 'node:path';
import type { Report } from '../artefacts/events.ts';
import { runNotice } from '../papers/run-notice.ts';
import type { RunRecord } from '../papers/run-record.ts';
import { runReport } from '../papers/run-report.ts';
import { summaryText } from '../papers/run-summary.ts';
import type { PlanCatalogue } from '../plan/plan.ts';
import { ProblemError } from '../problem.ts';
import { shelveReport } from '../run/report-shelf.ts';
import { RunLog } from '../run/run-log.ts';
import { codeVersions } from '../run/version.ts';
import { writeDurably } from '../store/durable-file.ts';
import { usableCores } from '../tracer/cores.ts';
import { bytes } from '../words/amount-words.ts';
import { EXIT } from './exit.ts';
import { watchInterrupts } from './interrupts.ts';
import { HURRIED, type NotifyAddress, notify, PATIENT, readNotifyAddress } from './notify.ts';
import type { Streams } from './progress.ts';
import { toldCommand, toldRerun, withoutUntil } from './rerun.ts';
import { CliError } from './usage.ts';
import { VERSION } from './version.ts';

export const ENDING_OPTIONS = {
  report: { type: 'string' },
  summary: { type: 'string' },
  notify: { type: 'string' },
} as const;

export interface EndingFlags {
  out: string;
  json: boolean;
  report?: string;
  summary?: string;
  notify?: string;
  queue?: string;
}

/** What a run tells of itself while it works. */
export class RunWatch {
  readonly log = new RunLog();
  catalogue: string;
  title: string;
  share: string | undefined;
  result: { failed: ReadonlyMap<string, string>; retriable?: boolean } | undefined;

  /** `config`: its file, what the run is called until that is read */
  constructor(config: string) {
    this.catalogue = config;
    this.title = config;
  }

  makes({ catalogue, title }: Pick<PlanCatalogue, 'catalogue' | 'title'>, share: string | undefined): void {
    Object.assign(this, { catalogue, title, share });
  }

  readonly report: Report = (event) => this.log.add(event, Date.now());
}

/**
 * Runs `make` and records it. A record that cannot be written is a warning: it never fails a run.
 * @throws what `run` throws, after the record is made; ProblemError if the address to notify is none
 */
export async function recorded(
  args: readonly string[],
  config: string,
  flags: EndingFlags,
  streams: Streams,
  run: (watch: RunWatch) => Promise<number>,
): Promise<number> {
  const wish = flags.notify ?? process.env.BANDWRIGHT_NOTIFY;
  // it may be secret: what is started from here on does not inherit it
  delete process.env.BANDWRIGHT_NOTIFY;
  const address = wish ? readNotifyAddress(wish) : undefined;
  const watch = new RunWatch(config);
  const started = Date.now();
  // of the code as it is now; ready long before the end, where nothing may come between a run and its report
  const code = codeVersions().catch(() => ({}));
  const end = async (exit: number, error?: unknown) => {
    try {
      const workers = flags.queue !== undefined;
      await tell(
        watch,
        recordAt(watch, args, { started, exit, error, workers, code: await code }),
        flags,
        streams,
        address,
      );
    } catch (fault) {
      warn(streams, fault);
    }
  };
  try {
    const exit = await run(watch);
    await end(exit);
    return exit;
  } catch (error) {
    // nothing ran: the command line cannot be used
    if (!(error instanceof CliError)) await end(exitOf(error), error);
    throw error;
  }
}

/** As `main` ends with it; a fault of the program itself ends Node with 1. */
function exitOf(error: unknown): number {
  if (isAbort(error)) return EXIT.interrupted;
  return error instanceof ProblemError ? EXIT.usage : EXIT.failed;
}

const isAbort = (error: unknown) => error instanceof Error && error.name === 'AbortError';

function recordAt(
  { log, catalogue, title, share, result }: RunWatch,
  args: readonly string[],
  {
    started,
    exit,
    error,
    workers,
    code,
  }: {
    started: number;
    exit: number;
    error: unknown;
    workers: boolean;
    code: Record<string, string>;
  },
): RunRecord {
  const further = result?.retriable && exit === EXIT.failed ? ['--retry'] : [];
  return log.record({
    catalogue,
    title,
    share,
    ...(workers ? { workers } : {}),
    version: VERSION,
    started,
    ended: Date.now(),
    exit,
    ...(error === undefined || isAbort(error)
      ? {}
      : { problem: error instanceof Error ? error.message : String(error) }),
    command: toldCommand(args),
    rerun: toldRerun(exit === EXIT.unfinished ? withoutUntil(args) : args, further),
    machine: machineFacts(code),
    // kB (getrusage, Linux and macOS as libuv tells it)
    peakMemory: process.resourceUsage().maxRSS * 1024,
    failed: result?.failed,
  });
}

async function tell(
  watch: RunWatch,
  record: RunRecord,
  flags: EndingFlags,
  streams: Streams,
  address: NotifyAddress | undefined,
): Promise<void> {
  const html = runReport(record);
  // the run no longer listens: an interruption that comes now must find the report whole
  const interrupts = watchInterrupts((line) => streams.err.write(`${line}\n`));
  if (watch.log.begun)
    await shelveReport(flags.out, record.started, html).catch((error) => warn(streams, error));
  if (flags.report !== undefined)
    await writeDurably(resolve(flags.report), html).catch((error) => warn(streams, error));
  if (flags.summary !== undefined)
    await writeDurably(resolve(flags.summary), summaryText(record, true)).catch((error) =>
      warn(streams, error),
    );
  interrupts.dispose();
  if (!flags.json && watch.log.begun) streams.out.write(`\n${summaryText(record, false)}`);
  if (!address) return;
  const hurried = record.exit === EXIT.interrupted || interrupts.signal.aborted;
  const why = await notify(address, runNotice(record), hurried ? HURRIED : PATIENT);
  if (why) streams.err.write(`warning: ${address.shown} was not told of this run: ${why}\n`);
}

function warn({ err }: Streams, error: unknown): void {
  err.write(`warning: ${error instanceof Error ? error.message : String(error)}\n`);
}

function machineFacts(code: Record<string, string>): RunRecord['machine'] {
  const layers = Object.entries(code).map(([layer, hash]) => `${layer} ${hash.slice(0, 8)}`);
  return [
    ['Machine', hostname()],
    ['Processor', `${cpus()[0]?.model.trim() ?? 'unknown make'}, ${usableCores()} cores to use`],
    ['Memory', bytes(totalmem())],
    ['System', `${process.platform} ${process.arch}`],
    ['Node', process.versions.node],
    ['Bandwright', VERSION],
    ['Code of each layer', layers.join(', ')],
  ];
}
