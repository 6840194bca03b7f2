/**
 * Breaks real runs in every way we know and counts what went wrong: `npm run test:faults -- [--injections 300]
 * [--seed 1] [--kind text]`. Writes output/faults.json and ends with 1 if anything was lost, duplicated or different.
 */
import { mkdirSync, writeFileSync } from 'node:fs';
import { cpus, loadavg } from 'node:os';
import { parseArgs } from 'node:util';
import { KINDS, runCampaign } from './campaign.ts';
import { NO_MOUNTS } from './injections.ts';
import { CAN_SEE_PROCESSES } from './processes.ts';
import { Workshop } from './workshop.ts';

const { values } = parseArgs({
  options: {
    injections: { type: 'string', default: '300' },
    seed: { type: 'string', default: '1' },
    kind: { type: 'string' },
  },
});
if (!CAN_SEE_PROCESSES) {
  console.error('Skipped: orphaned processes are looked for in /proc, which only Linux has.');
  process.exit(0);
}
const kinds = KINDS.filter((k) => !values.kind || k.name.includes(values.kind));
if (kinds.length === 0) throw new RangeError(`no kind of fault is named ${values.kind}`);
if (NO_MOUNTS) console.log(`Full and read-only disks are left out: ${NO_MOUNTS}`);
const start = performance.now();
const loadBefore = loadavg()[0];
const workshop = new Workshop();
try {
  const campaign = await runCampaign(workshop, {
    injections: Number(values.injections),
    seed: Number(values.seed),
    kinds,
    tell: (line) => console.log(line),
  });
  const { why, kinds: struck, ...counts } = campaign;
  const report = {
    ...counts,
    seconds: Math.round((performance.now() - start) / 1000),
    seed: Number(values.seed),
    machine: `${cpus().length} × ${cpus()[0]?.model}`,
    load: [loadBefore, loadavg()[0]],
    kinds: struck,
    why,
  };
  mkdirSync('output', { recursive: true });
  writeFileSync('output/faults.json', `${JSON.stringify(report, null, 2)}\n`);
  console.log(JSON.stringify(report, null, 2));
  process.exitCode = why.length > 0 ? 1 : 0;
} finally {
  workshop.dispose();
}
