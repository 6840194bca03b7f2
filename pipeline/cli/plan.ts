import { placedProblem } from '../plan/band-source.ts';
import { readPlan } from '../plan/read-plan.ts';
import { formatProblem } from '../problem.ts';
import { draftPlan } from '../run/draft.ts';
import { forecast } from '../run/forecast.ts';
import { PROVEN } from '../run/proven-files.ts';
import { clockWording } from '../words/amount-words.ts';
import { EXIT } from './exit.ts';
import { sessionOptions } from './machine-flags.ts';
import { withOutput } from './output-folder.ts';
import { bytes, duration, type Streams } from './progress.ts';
import { parseCommand } from './usage.ts';

const OPTIONS = {
  out: { type: 'string' },
  draft: { type: 'boolean', default: false },
  jobs: { type: 'string' },
  json: { type: 'boolean', default: false },
} as const;

export async function plan(args: readonly string[], { out, err }: Streams): Promise<number> {
  const { values, config } = withOutput(parseCommand(args, OPTIONS));
  const { workers } = sessionOptions({ jobs: values.jobs });
  const read = await readPlan(config, PROVEN);
  const f = await forecast(values.draft ? draftPlan(read.plan) : read.plan, values.out, workers);
  if (values.json) {
    out.write(`${JSON.stringify({ ...f, warnings: read.warnings }, null, 2)}\n`);
    return EXIT.ok;
  }
  for (const w of read.warnings) err.write(`${formatProblem(w)}\n`);
  out.write(`${f.catalogue}\n  bands     ${f.variants}\n`);
  if (f.pairs > 0) out.write(`  pairs     ${f.pairs}\n`);
  for (const { sku, band, problems } of f.unbuildable)
    out.write(
      `  left out  pair ${sku}: ${formatProblem(placedProblem(problems[0], read.sources.get(band)))}\n`,
    );
  out.write(`  shapes    ${f.shapes.total}, ${f.shapes.cached} built before\n`);
  out.write(`  takes     ${f.takes.length}, ${f.takes.filter((t) => !t.trace).length} traced before\n`);
  const parts = f.takes.filter((t) => t.part);
  if (parts.length > 0) {
    const whole = parts.filter((t) => t.part?.number === 1).length;
    const size = Math.max(...parts.map((t) => t.colourways));
    out.write(
      `            ${whole} with more colourways than one run holds: traced in ${parts.length} parts of at most ${size}\n`,
    );
  }
  out.write(`  pictures  ${f.pictures.total} in ${f.pictures.files} files, ${f.pictures.cached} cached\n`);
  out.write(`  models    ${f.models.total}, ${f.models.cached} cached\n`);
  for (const b of f.beside) {
    if (b.label === undefined) continue;
    out.write(`  ${b.label.padEnd(20)} ${b.total}, ${b.cached} there\n`);
  }
  for (const t of f.takes) {
    const state = t.quarantined
      ? 'left out'
      : t.trace
        ? `about ${duration(t.predictedSeconds)}`
        : t.encode > 0
          ? 'encode'
          : 'cached';
    out.write(
      `  ${t.name.padEnd(44)} colourways ${String(t.colourways).padStart(3)}  ${t.part ? `part ${t.part.number} of ${t.part.of}, ` : ''}${state}${t.reason ? `: ${t.reason}` : ''}\n`,
    );
  }
  const guess = f.measured
    ? 'from takes measured on this machine, if it has nothing else to do'
    : 'a first guess: nothing was measured here yet';
  out.write(`time ${duration(f.predictedSeconds)} (${guess}); disk ${bytes(f.predictedBytes)}\n`);
  const finish = new Date(Date.now() + f.predictedSeconds * 1000);
  out.write(`begun now it is done by about ${clockWording(finish)}\n`);
  return EXIT.ok;
}
