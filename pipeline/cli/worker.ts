import { resolve } from 'node:path';
import { openQueueUrl, PASSWORD_ON_COMMAND_LINE } from '../farm/queue-password.ts';
import { withoutPassword } from '../farm/queue-url.ts';
import { workTakes } from '../farm/worker.ts';
import { chooseEngine } from '../tracer/engine-choice.ts';
import { createTracerSession } from '../tracer/session.ts';
import { EXIT } from './exit.ts';
import { watchInterrupts } from './interrupts.ts';
import {
  coresInstead,
  engineChoice,
  MACHINE_OPTIONS,
  sessionOptions,
  yieldToOthers,
} from './machine-flags.ts';
import { jsonReport, type Streams, textReport } from './progress.ts';
import { CliError, parseFlags } from './usage.ts';

const OPTIONS = {
  queue: { type: 'string' },
  store: { type: 'string' },
  ...MACHINE_OPTIONS,
  engine: { type: 'string' },
  json: { type: 'boolean', default: false },
} as const;

/** Works takes off a queue until it is interrupted. */
export async function worker(args: readonly string[], { out, err }: Streams): Promise<number> {
  const values = parseFlags(args, OPTIONS);
  const queue = values.queue ?? process.env.BANDWRIGHT_QUEUE;
  if (queue === undefined) throw new CliError('--queue: expected an address such as redis://host:6379');
  if (values.store === undefined) throw new CliError('--store: expected the shared output folder');
  const session = sessionOptions(values);
  const choice = engineChoice(values.engine) ?? 'cpu';
  yieldToOthers(session);
  const url = openQueueUrl(queue, process.env);
  // it may hold the password: what is started from here on does not inherit it
  delete process.env.BANDWRIGHT_QUEUE;
  if (values.queue !== undefined && withoutPassword(values.queue) !== values.queue)
    err.write(`${PASSWORD_ON_COMMAND_LINE}\n`);
  const interrupts = watchInterrupts((line) => err.write(`${line}\n`));
  try {
    const report = values.json ? jsonReport(out) : textReport(out);
    session.engine = (await chooseEngine(choice, session)).engine;
    await workTakes(url, {
      out: resolve(values.store),
      openTracer: () => createTracerSession({ ...session, onInstead: coresInstead(report) }),
      tracedBy: session.engine,
      report,
      signal: interrupts.signal,
    });
    return EXIT.ok;
  } finally {
    interrupts.dispose();
  }
}
