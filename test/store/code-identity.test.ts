import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { codeIdentities } from '../../pipeline/store/code-identity.ts';

let root: string;
const put = (file: string, text: string) => {
  mkdirSync(dirname(join(root, file)), { recursive: true });
  writeFileSync(join(root, file), text);
};
const identity = async (changes: Record<string, string> = {}, module = 'entry.ts') => {
  const instead = Object.fromEntries(Object.entries(changes).map(([file, text]) => [join(root, file), text]));
  return (await codeIdentities({ entry: [module] }, { root, instead })).entry;
};
const hash = async (changes?: Record<string, string>) => (await identity(changes)).hash;

beforeAll(() => {
  root = mkdtempSync(join(tmpdir(), 'bandwright-identity-'));
  put('package.json', JSON.stringify({ sideEffects: false }));
  put(
    'entry.ts',
    "import { twice } from './deep/twice.ts';\nimport measure from 'ruler';\nexport const six = measure(twice(3));\n",
  );
  put(
    'deep/twice.ts',
    "import type { Mm } from './mm.ts';\nexport const twice = (n: Mm): Mm => 2 * n;\nexport const unused = (n: number) => n + 1;\n",
  );
  put('deep/mm.ts', 'export type Mm = number;\n');
  put('beside.ts', 'export const nothing = 0;\n');
  put('node_modules/ruler/package.json', JSON.stringify({ version: '1.0.0', dependencies: { notch: '^2' } }));
  put('node_modules/notch/package.json', JSON.stringify({ version: '2.0.0' }));
});
afterAll(() => rmSync(root, { recursive: true, force: true }));

test('holds the files that are used, whichever imports them, and the packages with what they depend on', async () => {
  const { files, packages, hash } = await identity();
  expect(files).toEqual(['deep/twice.ts', 'entry.ts']);
  expect(packages).toEqual(['notch@2.0.0', 'ruler@1.0.0']);
  expect(hash).toMatch(/^[0-9a-f]{16}$/);
});

test('changes with code two imports away, and not with comments, types, layout, or code that nothing uses', async () => {
  const before = await hash();
  const twice = "import type { Mm } from './mm.ts';\nexport const twice = (n: Mm): Mm => 2 * n;\n";
  expect(await hash({ 'deep/twice.ts': twice.replace('2 * n', 'n + n') })).not.toBe(before);
  expect(await hash({ 'deep/twice.ts': `// why\n\n${twice}` })).toBe(before);
  expect(await hash({ 'deep/mm.ts': 'export type Mm = number & { unit?: "mm" };\n' })).toBe(before);
  expect(await hash({ 'beside.ts': 'export const nothing = 1;\n' })).toBe(before);
});

test('changes with the version of a package, also of one that a package depends on', async () => {
  const before = await hash();
  put('node_modules/notch/package.json', JSON.stringify({ version: '2.0.1' }));
  const after = await hash();
  put('node_modules/notch/package.json', JSON.stringify({ version: '2.0.0' }));
  expect(after).not.toBe(before);
  expect(await hash()).toBe(before);
});

test('a module that is not there is an error that names it', async () => {
  await expect(identity({}, 'gone.ts')).rejects.toThrow(/gone\.ts/);
});
