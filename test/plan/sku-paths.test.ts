import path from 'node:path';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Findings } from '../../pipeline/plan/findings.ts';
import { isSafeSku } from '../../pipeline/plan/folder-name.ts';
import { SkuRegister, skuOf } from '../../pipeline/plan/sku.ts';
import { checkSkus } from '../../pipeline/publish/sku-folder.ts';

const RUNS = Number(process.env.BANDWRIGHT_FUZZ_RUNS ?? 5000);

/** What path traversal, shells, other systems' file names and look-alike letters are made of. */
const SCRAPS = [
  ...[
    '..',
    '.',
    '/',
    '\\',
    '//',
    'C:',
    '~',
    '%2e%2e%2f',
    '%',
    '\0',
    '\n',
    '\r',
    ' ',
    '\u2024',
    '\u2215',
    '\u202e',
    '\uFEFF',
  ],
  ...[
    'CON',
    'nul',
    'Lpt1',
    'com9.txt',
    'models',
    'index.html',
    'catalogue.json',
    'assets',
    '-',
    '--out',
    '*',
    '?',
    '$HOME',
  ],
  ...[
    '`id`',
    '|',
    ';',
    '&',
    '<b>',
    '"',
    "'",
    '{size}',
    '{',
    '}',
    'A',
    'TL-52',
    '0',
    'x'.repeat(79),
    'é',
    'İ',
    '𝒜',
  ],
];
const text = fc
  .array(fc.oneof(fc.constantFrom(...SCRAPS), fc.string({ unit: 'binary', maxLength: 4 })), { maxLength: 5 })
  .map((parts) => parts.join(''));

const findings = () => new Findings(() => ({ file: 'fuzz.yaml', line: 1, column: 1 }));

describe('SKUs as folder names', () => {
  it('whatever pattern and slugs, a SKU that is taken stays one folder below the catalogue on every system', () => {
    let safe = 0;
    fc.assert(
      fc.property(text, fc.dictionary(fc.constantFrom('size', 'metal'), text), (pattern, slugs) => {
        const sku = skuOf(pattern, slugs);
        const found = findings();
        new SkuRegister(found).take(sku, 'fuzz', ['sku']);
        if (!isSafeSku(sku)) {
          expect(found.errors.length).toBeGreaterThan(0);
          return;
        }
        safe++;
        for (const system of [path.posix, path.win32]) {
          const root = system === path.posix ? '/out/rings' : 'C:\\out\\rings';
          expect(system.dirname(system.resolve(root, sku))).toBe(root);
          expect(system.basename(system.resolve(root, sku))).toBe(sku);
        }
        expect(encodeURIComponent(sku)).toBe(sku);
        expect(sku.normalize('NFKC')).toBe(sku);
      }),
      { numRuns: RUNS },
    );
    expect(safe).toBeGreaterThan(RUNS / 500);
  });

  it('no two that are taken share a folder where case is not seen', () => {
    fc.assert(
      fc.property(
        fc.array(fc.string({ unit: fc.constantFrom('a', 'A', 'b', '-', '1'), maxLength: 3 })),
        (skus) => {
          const found = findings();
          const register = new SkuRegister(found);
          for (const sku of skus) register.take(sku, sku, ['sku']);
          const clean = found.errors.length === 0;
          const folders = new Set(skus.map((s) => s.toLowerCase()));
          expect(clean).toBe(skus.every(isSafeSku) && folders.size === skus.length);
        },
      ),
      { numRuns: Math.min(RUNS, 5000) },
    );
  });

  it('what a plan takes, publishing takes: one rule', () => {
    fc.assert(
      fc.property(
        fc.oneof(text, fc.constantFrom('page', 'PAGE', 'feed.csv', 'a-', 'x'.repeat(80))),
        (sku) => {
          const refused = () => checkSkus([sku]);
          if (isSafeSku(sku)) expect(refused).not.toThrow();
          else expect(refused).toThrow(/sku-not-a-folder-name/);
        },
      ),
      { numRuns: Math.min(RUNS, 2000) },
    );
  });
});
