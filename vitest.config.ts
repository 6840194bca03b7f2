import { defineConfig } from 'vitest/config';

/** What weighs this process, or puts something of its own in place of a module that others use too. */
const ALONE = [
  'test/cli/interrupts.test.ts',
  'test/cli/setup-browser.test.ts',
  'test/setting/native-memory.test.ts',
  'test/tracer/household.test.ts',
];

export default defineConfig({
  test: {
    testTimeout: 60_000,
    hookTimeout: 120_000,
    setupFiles: 'test/seed.ts',
    pool: 'forks',
    maxWorkers: 2,
    // a worker keeps its modules from file to file: loading and warming them anew was two fifths of the suite's time
    projects: [
      {
        extends: true,
        test: { name: 'together', isolate: false, include: ['test/**/*.test.ts'], exclude: ALONE },
      },
      { extends: true, test: { name: 'alone', include: ALONE, sequence: { groupOrder: 1 } } },
    ],
  },
});
