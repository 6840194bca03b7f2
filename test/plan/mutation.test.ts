import { readFile } from 'node:fs/promises';
import path from 'node:path';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readPlan } from '../../pipeline/plan/read-plan.ts';
import { ProblemError } from '../../pipeline/problem.ts';
import { inMemory } from './workspace.ts';

/** `npm run test:fuzz` sets many more; a failure prints its seed and the smallest edits that show it. */
const RUNS = Number(process.env.BANDWRIGHT_FUZZ_RUNS ?? 150);
/** No mutated file may keep the reader busy: generous, since other tests run beside this one. */
const LONGEST_MS = 5000;

const root = new URL('../../', import.meta.url);
const demo = await readFile(new URL('configs/demo.yaml', root), 'utf8');
const couple = await readFile(new URL('configs/demo/couple.csv', root), 'utf8');
const template = await readFile(new URL('templates/slow-crossing.yaml', root), 'utf8');

const SCRAPS = [
  '',
  ' ',
  '\n',
  '\t',
  ':',
  '-',
  '[',
  ']',
  '{',
  '}',
  '#',
  '"',
  "'",
  '*a',
  '&a ',
  '!x ',
  '|',
  '>',
  '%',
  '? ',
  '0',
  '-1',
  '1e9',
  '.inf',
  '.nan',
  'null',
  'true',
  '~',
  '9999999',
  '4 in',
  '14',
  'none',
  '__proto__: 1\n',
  'constructor: 1\n',
  'size: ',
  '{ value: ',
  '<<: *a\n',
  '---\n',
  '\u0000',
  '\uFEFF',
  'ß½',
  '[]',
  '{}',
  '""',
];

type Edit =
  | { kind: 'put' | 'over'; at: number; scrap: string }
  | { kind: 'cut' | 'twice'; at: number; length: number }
  | { kind: 'swap'; a: number; b: number };

function apply(text: string, edit: Edit): string {
  const place = (share: number) => Math.floor(share * text.length);
  switch (edit.kind) {
    case 'put':
      return text.slice(0, place(edit.at)) + edit.scrap + text.slice(place(edit.at));
    case 'over':
      return text.slice(0, place(edit.at)) + edit.scrap + text.slice(place(edit.at) + edit.scrap.length);
    case 'cut':
      return text.slice(0, place(edit.at)) + text.slice(place(edit.at) + edit.length);
    case 'twice':
      return text.slice(0, place(edit.at) + edit.length) + text.slice(place(edit.at));
    case 'swap': {
      const lines = text.split('\n');
      const [a, b] = [edit.a, edit.b].map((s) => Math.floor(s * lines.length));
      [lines[a], lines[b]] = [lines[b], lines[a]];
      return lines.join('\n');
    }
  }
}

const share = fc.double({ min: 0, max: 0.999, noNaN: true });
const edit: fc.Arbitrary<Edit> = fc.oneof(
  fc.record({
    kind: fc.constantFrom('put' as const, 'over' as const),
    at: share,
    scrap: fc.constantFrom(...SCRAPS),
  }),
  fc.record({
    kind: fc.constantFrom('cut' as const, 'twice' as const),
    at: share,
    length: fc.integer({ min: 1, max: 60 }),
  }),
  fc.record({ kind: fc.constant('swap' as const), a: share, b: share }),
);

describe('mutated files', () => {
  it.each([
    ['config', 'demo.yaml'],
    ['template', 'own.yaml'],
  ])(
    'a mutated %s makes a plan or a list of problems, never anything else',
    async (_what, mutated) => {
      let plans = 0;
      let refusals = 0;
      await fc.assert(
        fc.asyncProperty(fc.array(edit, { minLength: 1, maxLength: 3 }), async (edits) => {
          const files: Record<string, string> = {
            'demo.yaml': demo.replace('template: slow-crossing', 'template: ./own.yaml'),
            'own.yaml': template,
            'demo/couple.csv': couple,
            'demo/mark.svg': '<svg xmlns="http://www.w3.org/2000/svg"/>',
          };
          files[mutated] = edits.reduce(apply, files[mutated]);
          const start = performance.now();
          try {
            const { plan } = await readPlan(path.resolve('/workspace/demo.yaml'), inMemory(files));
            plans++;
            expect(plan.variants.length).toBeGreaterThan(0);
            for (const v of plan.variants) expect(v.sku).toMatch(/^[A-Za-z0-9][A-Za-z0-9._-]*$/);
          } catch (error) {
            if (!(error instanceof ProblemError)) throw error;
            refusals++;
            expect(error.problems.some((p) => p.severity === 'error')).toBe(true);
            for (const p of error.problems) {
              expect(p.place).toBeDefined();
              expect(p.advice).toMatch(/[.?]$/);
            }
          }
          expect(performance.now() - start).toBeLessThan(LONGEST_MS);
        }),
        { numRuns: RUNS },
      );
      // both must occur, or the mutations are too tame or too wild to try anything
      expect(plans).toBeGreaterThan(RUNS / 24);
      expect(refusals).toBeGreaterThan(RUNS / 4);
    },
    400_000 + 100 * RUNS,
  );
});
