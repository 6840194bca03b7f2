/**
 * Mutation tester of the trade's tables, the bench's rules and the optics: makes one small change, runs the nearest
 * tests, and calls the mutant killed if one of them fails. What survives and is not listed in `equivalent.ts`, with the
 * reason why no test could tell, is what tests don't hold. Writes output/mutants.json.
 *
 *   npm run test:mutants                      300 mutants drawn by seed 1
 *   npm run test:mutants -- --sample 500 --seed 7
 *   npm run test:mutants -- --sample 400 --seed 7 --part 3/8     an eighth of them, to output/mutants-3-of-8.json
 *   npm run test:mutants -- --all [--only pipeline/trade/alloys.ts] [--hands 2]
 *
 * Tests that fail before any change are left out and named. Code that only the kernel's modules run has no mutants here:
 * its twins on the host have.
 *
 * Tried and dropped: Stryker 9 with its vitest runner. It changes no numbers, and here numbers are what matters: in
 * trade/conductor.ts it found 37 mutants (3 of them strings of a source) where this finds 99, and it took 52 s for them
 * where this takes 7, on two busy cores. With all related tests its dry run met whole runs of the pipeline that fail in
 * its copy of the tree. What makes this quick: one process stays warm, packages and their WebAssembly are loaded once,
 * only a bundle of our own files is made anew (esbuild) and run by vitest's own runner.
 */
import { type ChildProcess, fork } from 'node:child_process';
import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { loadavg } from 'node:os';
import { resolve } from 'node:path';
import { parseArgs } from 'node:util';
import { build } from 'esbuild';
import type { Job, Outcome } from './bench-hand.ts';
import { reasonOf, stale } from './equivalent.ts';
import { type Mutant, mutantsOf, mutated, told } from './mutate.ts';
import { places } from './places.ts';

/** A mutant that is not done by then runs for ever, as far as a test can tell. */
const LIMIT_MS = 60_000;
/** Modules can't be unloaded: after so many a hand is replaced by a fresh one. */
const JOBS_A_HAND = 150;

const { values } = parseArgs({
  options: {
    all: { type: 'boolean', default: false },
    sample: { type: 'string', default: '300' },
    seed: { type: 'string', default: '1' },
    only: { type: 'string', default: '' },
    hands: { type: 'string', default: '1' },
    part: { type: 'string', default: '1/1' },
  },
});

async function handFile(): Promise<string> {
  const folder = resolve('node_modules/.cache/bandwright-mutants');
  mkdirSync(folder, { recursive: true });
  const outfile = resolve(folder, 'hand.mjs');
  await build({
    entryPoints: ['test/mutants/bench-hand.ts'],
    bundle: true,
    format: 'esm',
    platform: 'node',
    packages: 'external',
    outfile,
  });
  return outfile;
}

/** One process after the other; each does a job at a time. */
class Hand {
  private child: ChildProcess | undefined;
  private done = 0;

  constructor(private readonly file: string) {}

  /** @returns undefined where the process died or took too long */
  async try(job: Job): Promise<Outcome | undefined> {
    if (this.done >= JOBS_A_HAND) this.end();
    this.child ??= fork(this.file, { execArgv: [], stdio: 'ignore' });
    this.done++;
    const { child } = this;
    const outcome = await new Promise<Outcome | undefined>((settle) => {
      const late = setTimeout(() => settle(undefined), LIMIT_MS).unref();
      const finish = (found?: Outcome) => {
        clearTimeout(late);
        child.removeAllListeners();
        settle(found);
      };
      child.once('message', (found: Outcome) => finish(found));
      child.once('exit', () => finish());
      child.send(job);
    });
    if (!outcome) this.end();
    return outcome;
  }

  end(): void {
    this.child?.removeAllListeners();
    this.child?.kill('SIGKILL');
    this.child = undefined;
    this.done = 0;
  }
}

/** Fisher and Yates' shuffle over a 32-bit generator (mulberry32, public domain). */
function drawn<T>(items: readonly T[], count: number, seed: number): T[] {
  let state = seed >>> 0;
  const next = () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = Math.imul(state ^ (state >>> 15), state | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
  const left = [...items];
  for (let i = left.length - 1; i > 0; i--) {
    const k = Math.floor(next() * (i + 1));
    [left[i], left[k]] = [left[k], left[i]];
  }
  return left.slice(0, count);
}

/** Each hand takes the next item until none is left. */
async function share<T>(
  items: readonly T[],
  hands: readonly Hand[],
  work: (item: T, hand: Hand) => Promise<void>,
) {
  const left = items[Symbol.iterator]();
  await Promise.all(
    hands.map(async (hand) => {
      for (const item of left) await work(item, hand);
    }),
  );
}

const began = Date.now();
const testsOf = new Map(
  [...places()].map(([file, tests]) => [file, tests.filter((test) => existsSync(test))]),
);
const texts = new Map([...testsOf.keys()].map((file) => [file, readFileSync(file, 'utf8')]));
const whole = [...texts]
  .flatMap(([file, text]) => mutantsOf(file, text))
  .filter(({ file }) => file.includes(values.only));
const rotten = values.only ? [] : stale(whole);
if (rotten.length > 0)
  throw new Error(
    `no mutant is what these rows of test/mutants/equivalent.ts say:\n  ${rotten.join('\n  ')}`,
  );
const [part, parts] = values.part.split('/').map(Number);
const chosen = (values.all ? whole : drawn(whole, Number(values.sample), Number(values.seed)))
  .sort((a, b) => a.file.localeCompare(b.file) || a.start - b.start)
  .filter((_, i, all) => Math.floor((i * parts) / all.length) === part - 1);
const equivalent = chosen.flatMap((m) => {
  const reason = reasonOf(m);
  return reason ? [{ at: `${m.file}:${m.line}`, change: told(m), in: m.text, reason }] : [];
});
const tried = chosen.filter((m) => !reasonOf(m));

const file = await handFile();
const hands = Array.from({ length: Number(values.hands) }, () => new Hand(file));
let id = 0;

const baseline: string[] = [];
const used = [...new Set(tried.flatMap((m) => testsOf.get(m.file)!))];
await share(used, hands, async (test, hand) => {
  const found = await hand.try({ id: id++, file: '', tests: [test], excluded: [] });
  baseline.push(...(found?.failed ?? [`${test} > (file)`]));
});
const broken = new Set(
  baseline.flatMap((name) => (name.endsWith(' > (file)') ? [name.split(' > ')[0]] : [])),
);

const survived: Mutant[] = [];
/** file and test → how many mutants of the file it met first */
const kills = new Map<string, number>();
let ended = 0;
await share(tried, hands, async (mutant, hand) => {
  const text = mutated(texts.get(mutant.file)!, mutant);
  const killsOf = (test: string) => kills.get(`${mutant.file} ${test}`) ?? 0;
  // what met its neighbours mostly meets it too
  const tests = testsOf
    .get(mutant.file)!
    .filter((test) => !broken.has(test))
    .sort((a, b) => killsOf(b) - killsOf(a));
  const found = await hand.try({ id: id++, file: mutant.file, text, tests, excluded: baseline });
  if (!found) ended++;
  else if (found.failed.length === 0) {
    survived.push(mutant);
    console.log(`survived ${mutant.file}:${mutant.line}  ${told(mutant)}   | ${mutant.text.slice(0, 110)}`);
  } else {
    const [test] = found.failed[0].split(' > ');
    kills.set(`${mutant.file} ${test}`, killsOf(test) + 1);
  }
});
for (const hand of hands) hand.end();

const killed = tried.length - survived.length;
const report = {
  mutants: chosen.length,
  of: whole.length,
  drawn: values.all ? 'all' : `${values.sample} by seed ${values.seed}`,
  killed,
  /** of those killed: the process ended or took longer than a minute */
  ended,
  survived: survived.map((m) => ({ at: `${m.file}:${m.line}`, change: told(m), in: m.text })),
  survivingShare: tried.length === 0 ? 0 : survived.length / tried.length,
  equivalent,
  /** failed before any change, so left out */
  excluded: baseline,
  seconds: (Date.now() - began) / 1000,
  loadAverage: loadavg()[0],
};
mkdirSync('output', { recursive: true });
writeFileSync(
  parts > 1 ? `output/mutants-${part}-of-${parts}.json` : 'output/mutants.json',
  `${JSON.stringify(report, null, 2)}\n`,
);
console.log(
  `${report.mutants} of ${report.of} mutants: ${killed} killed (${ended} by running on), ${survived.length} survived, ${equivalent.length} equivalent; ` +
    `${(100 * report.survivingShare).toFixed(1)} % of those that tests could tell survived. ${report.seconds.toFixed(0)} s, load ${report.loadAverage.toFixed(1)}.`,
);
if (baseline.length > 0) console.log(`left out, failing before any change:\n  ${baseline.join('\n  ')}`);
process.exitCode = report.survivingShare < 0.05 ? 0 : 1;
