import { resolve } from 'node:path';
import { readPlan } from '../plan/read-plan.ts';
import { formatProblem } from '../problem.ts';
import { draftPlan } from '../run/draft.ts';
import { makeCatalogue } from '../run/make.ts';
import { mergeStore } from '../run/merging.ts';
import { PROVEN } from '../run/proven-files.ts';
import { createTracerSession } from '../tracer/session.ts';
import { EXIT } from './exit.ts';
import { watchInterrupts } from './interrupts.ts';
import { withOutput } from './output-folder.ts';
import { jsonReport, type Streams, textReport } from './progress.ts';
import { CliError, parseCommand } from './usage.ts';

const OPTIONS = {
  out: { type: 'string' },
  from: { type: 'string', multiple: true },
  draft: { type: 'boolean', default: false },
  wait: { type: 'boolean', default: false },
  json: { type: 'boolean', default: false },
} as const;

/** Copies what shares made and publishes the catalogue. Takes that no share made are left out: exit 1. */
export async function merge(args: readonly string[], { out, err }: Streams): Promise<number> {
  const { values, config } = withOutput(parseCommand(spread(args), OPTIONS));
  const from = values.from ?? [];
  if (from.length === 0) throw new CliError('--from: expected the folders of the shares but received none');
  const { plan, warnings } = await readPlan(config, PROVEN);
  for (const w of warnings) err.write(`${formatProblem(w)}\n`);
  const report = values.json ? jsonReport(out) : textReport(out);
  const interrupts = watchInterrupts((line) => err.write(`${line}\n`));
  try {
    const result = await makeCatalogue(values.draft ? draftPlan(plan) : plan, {
      out: values.out,
      wait: values.wait,
      signal: interrupts.signal,
      report,
      openTracer: () => createTracerSession({}),
      anyEngine: true,
      elsewhere: {
        lacking: 'not in the store, nor in any of the folders merged',
        fill: async (job) => {
          for (const folder of from) {
            job.options.signal.throwIfAborted();
            const { copied, damaged } = await mergeStore(job.place.store, resolve(folder));
            for (const name of damaged)
              report({ event: 'warning', message: `${name} is damaged in ${folder} and was not copied` });
            if (!values.json) out.write(`merged ${folder}: ${copied} artefacts copied\n`);
          }
        },
      },
    });
    if (!values.json) {
      for (const [sku, why] of result.failed) err.write(`${sku}: ${why}\n`);
      out.write(`${resolve(result.folder, 'index.html')}\n`);
    }
    return result.failed.size > 0 ? EXIT.failed : EXIT.ok;
  } finally {
    interrupts.dispose();
  }
}

/** `--from a b` as `--from a --from b`: a shell's pattern gives several folders. The config comes first. */
function spread(args: readonly string[]): string[] {
  const at = args.indexOf('--from');
  if (at < 0) return [...args];
  const end = args.findIndex((a, i) => i > at && a.startsWith('--'));
  const folders = args.slice(at + 1, end < 0 ? args.length : end);
  const rest = end < 0 ? [] : spread(args.slice(end));
  return [...args.slice(0, at), ...folders.flatMap((f) => ['--from', f]), ...rest];
}
