import { readPlan } from '../plan/read-plan.ts';
import { draftPlan } from '../run/draft.ts';
import { waitWording } from '../run/make.ts';
import { type VerifyReport, verifyCatalogue } from '../run/verifying.ts';
import { EXIT } from './exit.ts';
import { watchInterrupts } from './interrupts.ts';
import { makeCommand } from './make.ts';
import { withOutput } from './output-folder.ts';
import { bytes, type Streams } from './progress.ts';
import { parseCommand } from './usage.ts';

const OPTIONS = {
  out: { type: 'string' },
  draft: { type: 'boolean', default: false },
  repair: { type: 'boolean', default: false },
  wait: { type: 'boolean', default: false },
  json: { type: 'boolean', default: false },
} as const;

/**
 * Hashes again all that is published and stored. Exit 1 if anything is damaged; with `--repair` it is removed and made
 * anew, and the exit code is that of making.
 */
export async function verify(args: readonly string[], streams: Streams): Promise<number> {
  const { out, err } = streams;
  const { values, config } = withOutput(parseCommand(args, OPTIONS));
  const read = await readPlan(config);
  const { catalogue } = values.draft ? draftPlan(read.plan) : read.plan;
  const line = (text: string) => err.write(`${text}\n`);
  const interrupts = watchInterrupts(line);
  let report: VerifyReport;
  try {
    report = await verifyCatalogue(values.out, catalogue, {
      remove: values.repair,
      wait: values.wait,
      signal: interrupts.signal,
      onWait: (holder) => line(waitWording(holder)),
    });
  } finally {
    interrupts.dispose();
  }
  if (values.json) out.write(`${JSON.stringify(report)}\n`);
  else out.write(describe(report));
  const bad = report.damage.length + report.store.damaged.length > 0;
  if (!values.repair) return bad ? EXIT.failed : EXIT.ok;
  const flags = [
    '--out',
    values.out,
    ...(['draft', 'wait', 'json'] as const).filter((f) => values[f]).map((f) => `--${f}`),
  ];
  return makeCommand([config, ...flags], streams);
}

function describe({ folder, files, damage, unfinished, store, ...r }: VerifyReport): string {
  const lines = [
    `${folder}: ${files} files, ${bytes(r.bytes)}, ${damage.length === 0 ? 'all sound' : `${damage.length} damaged`}`,
    ...damage.map((d) => `  ${d.what.padEnd(9)} ${d.file}`),
    `store: ${store.artefacts} artefacts, ${bytes(store.bytes)}, ${store.damaged.length === 0 ? 'all sound' : `${store.damaged.length} damaged`}`,
    ...store.damaged.map((name) => `  altered   ${name}`),
  ];
  if (unfinished)
    lines.push(
      'Listings could not be compared: no run has published this catalogue to its end. Make it first.',
    );
  return `${lines.join('\n')}\n`;
}
