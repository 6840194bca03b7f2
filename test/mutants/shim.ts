/** What tests import as `vitest`, on the runner and matchers that vitest itself is made of. */
import {
  ASYMMETRIC_MATCHERS_OBJECT,
  chai,
  JestAsymmetricMatchers,
  JestChaiExpect,
  JestExtend,
} from '@vitest/expect';

export { afterAll, afterEach, beforeAll, beforeEach, describe, it, test } from '@vitest/runner';

for (const plugin of [JestExtend, JestChaiExpect, JestAsymmetricMatchers]) chai.use(plugin);

const matchers = (globalThis as Record<symbol, unknown>)[ASYMMETRIC_MATCHERS_OBJECT];

export const expect = Object.assign(
  (value: unknown, message?: string) => chai.expect(value, message),
  chai.expect,
  matchers,
);
