import { readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { stale } from './equivalent.ts';
import { mutantsOf } from './mutate.ts';
import { places } from './places.ts';

it('every file that is mutated has its tests, and every mutant called equivalent is one of today', () => {
  const all = [...places().keys()].flatMap((file) => mutantsOf(file, readFileSync(file, 'utf8')));
  expect(stale(all)).toEqual([]);
});
