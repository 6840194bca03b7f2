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
 * What starts browsers, commands and other programs, the longest first. A process that solids have let grow to 800 MB
 * takes up to fifty times as long to start another (0.3 s of processor time), so these come before they are built. What
 * mostly waits (`own-page`, `silent-browser`) stands beside what computes.
 */
const STARTING = [
  'test/faults/faults.test.ts',
  'test/cli/commands.test.ts',
  'test/tracer/session.test.ts',
  'test/gpu/make-by-card.test.ts',
  'test/look/page.test.ts',
  'test/page/page.test.ts',
  'test/farm/kills.test.ts',
  'test/cli/farm.test.ts',
  'test/run/outputs-together.test.ts',
  'test/tracer/own-page.test.ts',
  'test/run/proofs.test.ts',
  'test/run/comparing.test.ts',
  'test/run/clear-turntable.test.ts',
  'test/tracer/engine-choice.test.ts',
  'test/run/proofs-bad-input.test.ts',
  'test/page/page-model.test.ts',
  'test/cli/setup.test.ts',
  'test/gpu/engines.test.ts',
  'test/tracer/silent-browser.test.ts',
  'test/tracer/dawn.test.ts',
  'test/page/product-page.test.ts',
  'test/page/page-local.test.ts',
  'test/run/german.test.ts',
  'test/publish/catalogue.test.ts',
  'test/farm/queue.test.ts',
  'test/look/orders.test.ts',
  'test/look/reader.test.ts',
  'test/papers/bench-sheet.test.ts',
  'test/papers/signing.test.ts',
  'test/cli/look.test.ts',
  'test/cli/read-only.test.ts',
  'test/cli/typescript.test.ts',
  'test/inputs/inputs.test.ts',
  'test/model/cast-part.test.ts',
  'test/model/usdz.test.ts',
  'test/picture/metadata.test.ts',
  'test/release/sums.test.ts',
  'test/run/older-catalogues.test.ts',
  'test/run/own-folders.test.ts',
  'test/store/artefact-store.test.ts',
  'test/store/lease.test.ts',
  'test/farm/deployment.test.ts',
  'test/tracer/browser-launch.test.ts',
];

/**
 * What takes longest of the others, by measurement. It begins early, so that workers end together: where Vitest remembers
 * no earlier run, as in a clone, it goes by the size of files, and short files that make whole catalogues would come last.
 */
const LONGEST = [
  'test/run/shipped-templates.test.ts',
  'test/run/forecast-takes.test.ts',
  'test/band/strands.test.ts',
  'test/plan/any-template.test.ts',
  'test/band/sweep.test.ts',
  'test/run/unattended.test.ts',
  'test/run/standing.test.ts',
];

const FIRST = [...STARTING, ...LONGEST];

class InOrder extends BaseSequencer {
  override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
    const others = await super.sort(files);
    const place = ({ moduleId }: TestSpecification) => {
      const at = FIRST.indexOf(relative(import.meta.dirname, moduleId).replaceAll('\\', '/'));
      return at < 0 ? FIRST.length : at;
    };
    return others.sort((a, b) => place(a) - place(b));
  }
}

/** ms. The slowest takes 45 s where the machine is its own: they end what hangs, and no slow machine's work. */
const PATIENCE = 400_000;

const SHARED = {
  testTimeout: PATIENCE,
  hookTimeout: PATIENCE,
  pool: 'forks',
} as const;

/**
 * Modules are loaded as the command loads them: in Vitest's own runner every use of an import is a call. What property
 * tests draw is set once for each worker.
 */
const AS_THE_COMMAND = {
  execArgv: ['pipeline/cli/typescript.mjs', 'test/seed.ts'].flatMap((file) => [
    '--import',
    new URL(file, import.meta.url).href,
  ]),
  experimental: { viteModuleRunner: false, nodeLoader: false },
};

export default defineConfig({
  test: {
    sequence: { sequencer: InOrder },
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
      { test: { ...SHARED, ...AS_THE_COMMAND, name: 'alone', include: ALONE, sequence: { groupOrder: 1 } } },
    ],
  },
});
