import { resolve } from 'node:path';
import { readPlan } from '../catalogue/read-plan.ts';
import { formatProblem } from '../problem.ts';
import { draftPlan } from '../run/draft.ts';
import { makeCatalogue } from '../run/make.ts';
import { createTracerSession } from '../tracer/session.ts';
import { EXIT } from './exit.ts';
import { watchInterrupts } from './interrupts.ts';
import { jsonReport, type Streams, textReport } from './progress.ts';
import { skuFilter } from './sku-filter.ts';
import { CliError, parseCommand } from './usage.ts';

const OPTIONS = {
  out: { type: 'string', default: 'output' },
  only: { type: 'string' },
  draft: { type: 'boolean', default: false },
  jobs: { type: 'string' },
  wait: { type: 'boolean', default: false },
  retry: { type: 'boolean', default: false },
  json: { type: 'boolean', default: false },
} as const;

export async function make(args: readonly string[], { out, err }: Streams): Promise<number> {
  const { values, config } = parseCommand(args, OPTIONS);
  const workers = jobs(values.jobs);
  const { plan, warnings } = await readPlan(config);
  for (const w of warnings) err.write(`${formatProblem(w)}\n`);
  const wanted = skuFilter(
    values.only,
    [...plan.variants, ...plan.pairs].map((v) => v.sku),
  );
  const interrupts = watchInterrupts((line) => err.write(`${line}\n`));
  try {
    const result = await makeCatalogue(values.draft ? draftPlan(plan) : plan, {
      out: resolve(values.out),
      only: wanted,
      openTracer: () => createTracerSession({ workers, patience: patience(process.env.BANDWRIGHT_PATIENCE) }),
      report: values.json ? jsonReport(out) : textReport(out),
      signal: interrupts.signal,
      wait: values.wait,
      retry: values.retry,
    });
    if (!values.json) {
      for (const [sku, why] of result.failed) err.write(`${sku}: ${why}\n`);
      if (result.retriable) err.write(`To try what failed once more:\n  ${rerunCommand(args)}\n`);
      out.write(`${resolve(result.folder, 'index.html')}\n`);
    }
    return result.failed.size > 0 ? EXIT.failed : EXIT.ok;
  } finally {
    interrupts.dispose();
  }
}

/** The same command, for a shell, with `--retry`. */
function rerunCommand(args: readonly string[]): string {
  const quote = (arg: string) => (/^[\w./:=@%+,-]+$/.test(arg) ? arg : `'${arg.replaceAll("'", "'\\''")}'`);
  const flags = args.includes('--retry') ? args : [...args, '--retry'];
  return `npm run -s bandwright -- make ${flags.map(quote).join(' ')}`;
}

/** Seconds in the environment as ms. */
function patience(text: string | undefined): number | undefined {
  if (text === undefined) return undefined;
  if (!(Number(text) >= 1))
    throw new CliError(`BANDWRIGHT_PATIENCE: expected seconds, at least 1, but received ${text}`);
  return Number(text) * 1000;
}

function jobs(text: string | undefined): number | undefined {
  if (text === undefined) return undefined;
  const n = Number(text);
  if (!Number.isInteger(n) || n < 1 || n > 256)
    throw new CliError(`--jobs: expected a whole number from 1 to 256 but received ${text}`);
  return n;
}
