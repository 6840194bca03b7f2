/**
 * `npm run bench`: measures the tracer against its peers and itself, prints the figures with the machine they were
 * taken on, and writes them to output/bench.json as flat `name: number`. With `--only` the other figures of an earlier
 * run stay in the file.
 */
import { execFileSync } from 'node:child_process';
import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { cpus, loadavg, totalmem } from 'node:os';
import { parseArgs } from 'node:util';
import { card } from './card.ts';
import { clean } from './clean.ts';
import { cleanTime } from './clean-time.ts';
import { colourwaysCost } from './colourways.ts';
import { embreePeer } from './embree.ts';
import { equalError } from './equal-error.ts';
import { growth } from './growth.ts';
import { hero } from './hero.ts';
import { look } from './look.ts';
import type { Measurement, Workbench } from './measurement.ts';
import { cataloguePage } from './page.ts';
import { peakMemory } from './peak-memory.ts';
import { sessionSpeed } from './session-speed.ts';
import { shapes } from './shapes.ts';
import { standing } from './standing.ts';
import { stonePlanes } from './stone-planes.ts';
import { webglPeer } from './webgl-peer.ts';

const FILE = 'output/bench.json';
const ALL: Measurement[] = [
  embreePeer,
  stonePlanes,
  colourwaysCost,
  sessionSpeed,
  webglPeer,
  hero,
  peakMemory,
  growth,
  equalError,
  clean,
  cleanTime,
  cataloguePage,
  shapes,
  look,
  standing,
  card,
];

const { values } = parseArgs({
  options: {
    only: { type: 'string', multiple: true },
    quick: { type: 'boolean', default: false },
    help: { type: 'boolean', default: false },
  },
});
const wanted = values.only?.flatMap((list) => list.split(','));
const unknown = wanted?.filter((name) => !ALL.some((m) => m.name === name)) ?? [];
if (values.help || unknown.length > 0) {
  if (unknown.length > 0) console.error(`--only: no measurement is named ${unknown.join(', ')}`);
  console.log('npm run bench -- [--quick] [--only name,…]\n');
  for (const m of ALL) console.log(`  ${m.name.padEnd(12)} ${m.about}`);
  process.exit(unknown.length > 0 ? 2 : 0);
}

const figures: Record<string, number> =
  wanted && existsSync(FILE) ? JSON.parse(readFileSync(FILE, 'utf8')) : {};
const bench: Workbench = {
  quick: values.quick,
  record(name, value, unit = '') {
    figures[name] = Number(value.toPrecision(4));
    console.log(`  ${name.padEnd(34)} ${figures[name]} ${unit}`);
  },
  say: (line) => console.log(`  ${line}`),
};

console.log(machine());
let failures = 0;
for (const measurement of ALL.filter((m) => !wanted || wanted.includes(m.name))) {
  console.log(`\n${measurement.name}: ${measurement.about} (load ${load()})`);
  try {
    await measurement.run(bench);
  } catch (error) {
    failures++;
    console.error(`  failed: ${error instanceof Error ? error.message : error}`);
  }
  mkdirSync('output', { recursive: true });
  writeFileSync(FILE, `${JSON.stringify(figures, null, 2)}\n`);
}
console.log(`\n${FILE} (load ${load()})`);
process.exitCode = failures > 0 ? 1 : 0;

function load(): string {
  return loadavg()
    .map((l) => l.toFixed(1))
    .join(' ');
}

function machine(): string {
  const commit = command('git', 'rev-parse', '--short', 'HEAD');
  const gcc = command('g++', '-dumpfullversion');
  return [
    `${cpus()[0]?.model}, ${cpus().length} cores, ${(totalmem() / 2 ** 30).toFixed(0)} GiB, ${process.platform}`,
    `Node ${process.versions.node} (V8 ${process.versions.v8}), g++ ${gcc || '-'}, commit ${commit || '-'}`,
    `${new Date().toISOString()}, load ${load()}; figures "per core" are of processor time`,
  ].join('\n');
}

function command(name: string, ...args: string[]): string {
  try {
    return execFileSync(name, args, { encoding: 'utf8', stdio: ['ignore', 'pipe', 'ignore'] }).trim();
  } catch {
    return '';
  }
}
