import { relative } from 'node:path';
import { defineConfig } from 'vitest/config';
import { BaseSequencer, type TestSpecification } from 'vitest/node';

/** What weighs this process, or puts something of its own in place of a module that others use too. */
const ALONE = [
  'test/cli/interrupts.test.ts',
  'test/cli/setup-browser.test.ts',
  'test/setting/native-memory.test.ts',
  'test/tracer/household.test.ts',
];

/**
 * What takes longest, by measurement. It begins first, so that workers end together: where Vitest remembers no earlier run,
 * as in a clone, it goes by the size of files, and short files that make whole catalogues would come last.
 */
const LONGEST = [
  'test/faults/faults.test.ts',
  'test/cli/commands.test.ts',
  'test/tracer/session.test.ts',
  'test/gpu/make-by-card.test.ts',
  'test/look/page.test.ts',
  'test/page/page.test.ts',
  'test/farm/kills.test.ts',
  'test/cli/farm.test.ts',
  'test/run/shipped-templates.test.ts',
  'test/run/forecast-takes.test.ts',
  'test/band/strands.test.ts',
  'test/plan/any-template.test.ts',
  'test/band/sweep.test.ts',
  'test/tracer/silent-browser.test.ts',
  'test/run/unattended.test.ts',
  'test/tracer/own-page.test.ts',
  'test/run/proofs.test.ts',
  'test/run/standing.test.ts',
  'test/run/outputs-together.test.ts',
  'test/run/clear-turntable.test.ts',
  'test/run/proofs-bad-input.test.ts',
  'test/tracer/engine-choice.test.ts',
  'test/page/page-model.test.ts',
];

class LongestFirst extends BaseSequencer {
  override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
    const others = await super.sort(files);
    const place = ({ moduleId }: TestSpecification) => {
      const at = LONGEST.indexOf(relative(import.meta.dirname, moduleId).replaceAll('\\', '/'));
      return at < 0 ? LONGEST.length : at;
    };
    return others.sort((a, b) => place(a) - place(b));
  }
}

/** ms. The slowest takes 45 s where the machine is its own: they end what hangs, and no slow machine's work. */
const PATIENCE = 400_000;

const SHARED = {
  testTimeout: PATIENCE,
  hookTimeout: PATIENCE,
  setupFiles: 'test/seed.ts',
  pool: 'forks',
} as const;

/** Modules are loaded as the command loads them: in Vitest's own runner every use of an import is a call. */
const AS_THE_COMMAND = {
  execArgv: ['--import', new URL('pipeline/cli/typescript.mjs', import.meta.url).href],
  experimental: { viteModuleRunner: false, nodeLoader: false },
};

export default defineConfig({
  test: {
    sequence: { sequencer: LongestFirst },
    // here and not in the projects, where --maxWorkers would not reach it
    maxWorkers: 2,
    // a worker keeps its modules from file to file: loading and warming them anew was two fifths of the suite's time
    projects: [
      {
        test: {
          ...SHARED,
          ...AS_THE_COMMAND,
          name: 'together',
          isolate: false,
          include: ['test/**/*.test.ts'],
          exclude: ALONE,
        },
      },
      { test: { ...SHARED, name: 'alone', include: ALONE, sequence: { groupOrder: 1 } } },
    ],
  },
});
