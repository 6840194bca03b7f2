/**
 * A process that tries mutants: it bundles the tests of a file with the file's changed text, imports the bundle and runs
 * it. Packages stay outside the bundles, so they are loaded once for all mutants.
 */
import { mkdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { dirname, resolve } from 'node:path';
import { pathToFileURL } from 'node:url';
import { type File, startTests, type Task, type VitestRunner } from '@vitest/runner';
import { type BuildContext, context } from 'esbuild';

export interface Job {
  id: number;
  file: string;
  /** the file's text; undefined for the file as it is */
  text?: string;
  tests: readonly string[];
  /** tests that fail on the unchanged file, by `file > name` */
  excluded: readonly string[];
}

export interface Outcome {
  id: number;
  /** tests that failed, by `file > name`; only the first where a mutant is tried */
  failed: string[];
  ms: number;
}

const ROOT = process.cwd();
const FOLDER = resolve(ROOT, `node_modules/.cache/bandwright-mutants/${process.pid}`);
mkdirSync(FOLDER, { recursive: true });
process.on('exit', () => rmSync(FOLDER, { recursive: true, force: true }));

let changed: { path: string; text?: string } = { path: '' };
const benches = new Map<string, BuildContext>();

async function benchOf(test: string): Promise<BuildContext> {
  const known = benches.get(test);
  if (known) return known;
  const made = await context({
    entryPoints: [test],
    bundle: true,
    write: false,
    format: 'esm',
    platform: 'node',
    target: 'node20',
    packages: 'external',
    alias: { vitest: resolve(ROOT, 'test/mutants/shim.ts') },
    logLevel: 'silent',
    plugins: [
      {
        name: 'mutant',
        setup: (build) =>
          build.onLoad({ filter: /\.ts$/ }, ({ path }) => {
            const text = path === changed.path && changed.text ? changed.text : readFileSync(path, 'utf8');
            const here = JSON.stringify(pathToFileURL(path).href);
            return {
              contents: text.replaceAll('import.meta.url', here),
              loader: 'ts',
              resolveDir: dirname(path),
            };
          }),
      },
    ],
  });
  benches.set(test, made);
  return made;
}

function runnerOf(path: string, excluded: readonly string[], stop: boolean): VitestRunner {
  const name = path;
  let failed = false;
  return {
    config: {
      root: ROOT,
      setupFiles: [],
      passWithNoTests: true,
      sequence: { seed: 1, hooks: 'stack', setupFiles: 'list', concurrent: false, shuffle: false },
      chaiConfig: {},
      maxConcurrency: 1,
      testTimeout: 60_000,
      hookTimeout: 60_000,
      retry: 0,
      includeTaskLocation: false,
      diffOptions: {},
      tags: [],
      tagsFilter: undefined,
      strictTags: false,
    } as unknown as VitestRunner['config'],
    pool: 'mutants',
    importFile: async (file: string) => import(pathToFileURL(file).href),
    onBeforeRunTask: (task: Task) => {
      if ((stop && failed) || excluded.includes(`${name} > ${pathOf(task)}`)) task.mode = 'skip';
    },
    onAfterRunTask: (task: Task) => {
      if (task.result?.state === 'fail') failed = true;
    },
  } as unknown as VitestRunner;
}

const pathOf = (task: Task): string =>
  task.suite?.name ? `${pathOf(task.suite as Task)} > ${task.name}` : task.name;

function failuresOf(file: File, name: string): string[] {
  const failed: string[] = [];
  const visit = (task: Task) => {
    if ('tasks' in task) task.tasks.forEach(visit);
    if (
      task.result?.state === 'fail' &&
      (task.type === 'test' || !('tasks' in task) || task.tasks.length === 0)
    )
      failed.push(`${name} > ${pathOf(task)}`);
  };
  visit(file);
  if (failed.length === 0 && file.result?.state === 'fail') failed.push(`${name} > (file)`);
  return failed;
}

async function run({ id, file, text, tests, excluded }: Job): Promise<Outcome> {
  const began = performance.now();
  const failed: string[] = [];
  for (const [i, test] of tests.entries()) {
    changed = { path: resolve(ROOT, file), text };
    const bundle = resolve(FOLDER, `${id}-${i}.mjs`);
    try {
      const { outputFiles } = await (await benchOf(test)).rebuild();
      writeFileSync(bundle, outputFiles![0].contents);
      const [done] = await startTests([bundle], runnerOf(test, excluded, text !== undefined));
      failed.push(...failuresOf(done, test));
    } catch {
      failed.push(`${test} > (file)`);
    }
    rmSync(bundle, { force: true });
    if (text !== undefined && failed.length > 0) break;
  }
  return { id, failed, ms: performance.now() - began };
}

process.on('message', async (job: Job) => {
  process.send!(await run(job));
});
