/**
 * A long night in miniature: one `make` of hundreds of tiny takes in a real browser, its memory weighed all the while.
 * `npm run soak -- [--takes 240] [--limit 10]`. Writes output/soak.json and output/soak.svg and ends with 1 if Node or the
 * browser grew by more than the limit (MB per hundred takes) over the second half; what is warmed up grows in the first.
 */
import { spawn } from 'node:child_process';
import { cpSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { cpus, loadavg, tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { createInterface } from 'node:readline';
import { parseArgs } from 'node:util';
import { descendants, memoryOf, SEES_PROCESSES } from '../../pipeline/tracer/process-tree.ts';
import { curve } from './curve.ts';
import { growth, type Sample } from './growth.ts';

const { values } = parseArgs({
  options: { takes: { type: 'string', default: '240' }, limit: { type: 'string', default: '10' } },
});
if (!SEES_PROCESSES) {
  console.error('Skipped: memory is read from /proc, which only Linux has.');
  process.exit(0);
}
const wanted = Number(values.takes);
const limit = Number(values.limit);
if (!(Number.isInteger(wanted) && wanted >= 20 && wanted <= 1000))
  throw new RangeError(`--takes: expected 20 to 1000 but received ${values.takes}`);

/** One take for each of two views of a size; a fortieth of a millimetre apart, so that no shape is like another. */
const SHOTS = ['three-quarter', 'front'];
const sizes = Array.from({ length: Math.ceil(wanted / SHOTS.length) }, (_, i) => (45 + i / 25).toFixed(2));
const CONFIG = `
catalogue: soak
title: Soak
workshop: Test bench
template: plain-court
overrides: { chord-tolerance: 0.05 mm }
grid:
  size: [${sizes.map((s) => `ISO ${s}`).join(', ')}]
  metal: [yellow-18, platinum-950]
shots: [${SHOTS.join(', ')}]
frame: [48 px, 48 px]
quality: { noise: 12 %, passes: 32 }
outputs:
  images: [{ format: webp, widths: [48], quality: 80 }]
  glb: true
sku: S-{size}-{metal}
`;

const folder = mkdtempSync(join(tmpdir(), 'bandwright-soak-'));
const samples: Sample[] = [];
let takes = 0;
const start = performance.now();
try {
  mkdirSync(join(folder, 'configs'));
  cpSync(resolve('templates'), join(folder, 'templates'), { recursive: true });
  const config = join(folder, 'configs/soak.yaml');
  writeFileSync(config, CONFIG);
  const args = ['pipeline/cli/bandwright.mjs', 'make', config, '--out', join(folder, 'out'), '--json'];
  const child = spawn(process.execPath, args, { stdio: ['ignore', 'pipe', 'inherit'] });
  const ended = new Promise<number | null>((done) => child.once('close', done));
  const weigh = () => {
    const node = memoryOf(child.pid ?? 0);
    const browser = descendants(child.pid ?? 0).reduce((sum, pid) => sum + memoryOf(pid), 0);
    if (node > 0 && browser > 0)
      samples.push({ seconds: (performance.now() - start) / 1000, takes, node, browser });
  };
  const timer = setInterval(weigh, 500);
  for await (const line of createInterface({ input: child.stdout })) {
    const event = JSON.parse(line);
    if (event.event === 'take-done') {
      takes++;
      if (takes % 20 === 0) console.log(`${takes} of ${sizes.length * SHOTS.length} takes`);
    }
  }
  const code = await ended;
  clearInterval(timer);
  if (code !== 0) throw new Error(`make ended with ${code}`);
} finally {
  rmSync(folder, { recursive: true, force: true });
}

const traced = samples.filter((s) => s.takes > 0 && s.takes < takes);
const late = traced.filter((s) => s.takes >= takes / 2);
const grown = { node: growth(late, 'node'), browser: growth(late, 'browser') };
const flat = Object.values(grown).every((g) => g.megabytes - 2 * g.error <= limit);
const report = {
  takes,
  seconds: Math.round((performance.now() - start) / 1000),
  growth_mb_per_100_takes: grown,
  limit_mb_per_100_takes: limit,
  flat,
  peak_mb: {
    node: Math.round(Math.max(...samples.map((s) => s.node)) / 1e6),
    browser: Math.round(Math.max(...samples.map((s) => s.browser)) / 1e6),
  },
  machine: `${cpus().length} × ${cpus()[0]?.model}`,
  load: loadavg()[0],
  samples: samples.length,
};
mkdirSync('output', { recursive: true });
writeFileSync('output/soak.json', `${JSON.stringify(report, null, 2)}\n`);
writeFileSync('output/soak.svg', curve(samples));
console.log(JSON.stringify(report, null, 2));
process.exitCode = flat ? 0 : 1;
