/** Which kinds' code a change of one file belongs to, found through all imports. */
import { mkdtempSync, readdirSync, readFileSync, rmSync, truncateSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { beforeAll, expect, it } from 'vitest';
import { KINDS } from '../../pipeline/artefacts/kinds.ts';
import { CODED, PIPELINE, remembered } from '../../pipeline/run/version.ts';
import { type CodeIdentity, codeIdentities } from '../../pipeline/store/code-identity.ts';

const NAMES = CODED.map(({ name }) => name);

function identities(kinds: readonly string[], instead?: Record<string, string>) {
  const asked = CODED.filter(({ name }) => kinds.includes(name));
  return codeIdentities(Object.fromEntries(asked.map(({ name, code }) => [name, code])), {
    root: PIPELINE,
    instead,
  });
}

let before: Record<string, CodeIdentity>;
beforeAll(async () => {
  before = await identities(NAMES);
});

/** Kinds, of those asked about, whose identity changes when the texts of files do, all at once. */
async function changedBy(files: readonly string[], change: Change, kinds = NAMES) {
  const instead = Object.fromEntries(files.map((file) => changed(file, change(file))));
  const after = await identities(kinds, instead);
  return kinds.filter((name) => after[name].hash !== before[name].hash);
}

/** What takes another's place in a file's text. */
type Change = (file: string) => [from: RegExp, to: string];

function changed(file: string, [from, to]: [RegExp, string]): [path: string, text: string] {
  const path = join(PIPELINE, file);
  const text = readFileSync(path, 'utf8');
  const other = text.replace(from, to);
  expect(other, `${file} holds ${from}`).not.toBe(text);
  return [path, other];
}

/** A value that is used and cannot be dropped, put before the first function that is exported. */
const TOUCHED: Change = (file) =>
  file.startsWith('tracer/kernel/')
    ? [/(export const NODE_BYTES = )\d+/, '$18888']
    : [/^(export (?:async )?function\*? \w+)/m, 'globalThis.name ||= "other";\n$1'];

it('of every kind has its own', () => {
  expect([...NAMES].sort()).toEqual(['card', 'catalogue', ...KINDS.map(({ name }) => name)].sort());
});

it('does not hang on comments, anywhere', async () => {
  const files = ['setting/build-solids.ts', 'tracer/kernel/layout.ts', 'picture/encode.ts'];
  expect(await changedBy(files, () => [/^/, '// why it is so\n'])).toEqual([]);
});

const CASES: { file: string; yes: string[]; no: string[] }[] = [
  // what the bench says, and how, is told of a shape and changes none of it
  { file: 'trade/bench-words.ts', yes: ['solid'], no: ['geometry', 'film', 'picture', 'model', 'usdz'] },
  { file: 'setting/bench-rules.ts', yes: ['solid'], no: ['geometry', 'film', 'picture', 'model', 'usdz'] },
  { file: 'setting/build-solids.ts', yes: ['geometry', 'solid'], no: ['film', 'picture', 'model'] },
  { file: 'trade/cuts.ts', yes: ['geometry', 'solid'], no: ['picture', 'model'] },
  { file: 'band/sweep.ts', yes: ['geometry', 'solid'], no: ['picture', 'part'] },
  { file: 'scene/view.ts', yes: ['film', 'comparison'], no: ['geometry', 'solid', 'picture', 'model'] },
  { file: 'tracer/kernel/layout.ts', yes: ['film'], no: ['geometry', 'solid', 'picture', 'model'] },
  // what the cores have traced stays as good as it was
  { file: 'tracer/gpu/gpu-scene.ts', yes: ['card'], no: ['film', 'clean-film', 'picture'] },
  { file: 'tracer/film-file.ts', yes: ['film'], no: ['geometry', 'solid', 'picture'] },
  // a changed filter traces nothing
  { file: 'tracer/film-filter.ts', yes: ['clean-film'], no: ['film', 'picture', 'model'] },
  { file: 'tracer/window-fits.ts', yes: ['clean-film'], no: ['film', 'picture', 'model'] },
  { file: 'tracer/film-guide.ts', yes: ['film', 'clean-film'], no: ['picture', 'model'] },
  { file: 'artefacts/framing.ts', yes: ['picture'], no: ['film', 'swatch', 'model'] },
  { file: 'artefacts/picture-bundle.ts', yes: ['picture', 'swatch'], no: ['film', 'model'] },
  { file: 'picture/swatches.ts', yes: ['swatch'], no: ['film', 'picture'] },
  { file: 'picture/moving.ts', yes: ['movie'], no: ['film', 'picture', 'swatch', 'model'] },
  { file: 'model/glb.ts', yes: ['model'], no: ['film', 'picture', 'part'] },
  { file: 'model/usd-geometry.ts', yes: ['usdz'], no: ['model', 'film', 'part'] },
  { file: 'model/usdz.ts', yes: ['single-model'], no: ['model', 'usdz', 'film'] },
  { file: 'model/stl.ts', yes: ['part'], no: ['model', 'film'] },
  // words, papers, pages and publishing decide what is told; keys of papers hold their whole text
  {
    file: 'words/locale.ts',
    yes: ['catalogue'],
    no: ['geometry', 'solid', 'film', 'picture', 'model', 'part'],
  },
  { file: 'facts/band-facts.ts', yes: ['catalogue'], no: ['geometry', 'solid', 'film', 'picture', 'model'] },
  { file: 'papers/bench-sheet.ts', yes: ['catalogue'], no: ['film', 'picture', 'solid'] },
  { file: 'tracer/print-page.ts', yes: ['sheet', 'proof'], no: ['film', 'picture', 'solid'] },
  { file: 'publish/catalogue-csv.ts', yes: ['item', 'catalogue'], no: ['film', 'picture', 'solid', 'model'] },
  { file: 'run/make.ts', yes: ['catalogue'], no: ['film', 'picture', 'solid', 'model', 'item'] },
];

// an identity is told from the code of its files: see test/store/code-identity.test.ts
it.each(CASES)('of the kinds that $file belongs to holds its code', ({ file, yes }) => {
  for (const kind of yes) expect(before[kind].files, kind).toContain(file);
});

it('of every kind changes with the code that it holds', async () => {
  const files = CASES.map(({ file }) => file);
  expect(await changedBy(files, TOUCHED)).toEqual(NAMES);
});

// none of them changes it where all of them together do not
it.each([...new Set(CASES.flatMap(({ no }) => no))])(
  'of %s stays, whatever is changed beside it',
  async (kind) => {
    const beside = CASES.filter(({ no }) => no.includes(kind)).map(({ file }) => file);
    expect(await changedBy(beside, TOUCHED, [kind]), beside.join()).toEqual([]);
  },
);

it('is kept for as long as what it is found from stays, and found anew from a file that is cut off', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'bandwright-remembered-'));
  try {
    const file = join(folder, 'kept.json');
    let found = 0;
    const ask = (inputs: string) => remembered(file, inputs, async () => ++found);
    expect([await ask('a'), await ask('a'), await ask('b'), await ask('b'), await ask('a')]).toEqual([
      1, 1, 2, 2, 3,
    ]);
    truncateSync(file, 5);
    expect([await ask('a'), await ask('a')]).toEqual([4, 4]);
    expect(readdirSync(folder)).toEqual(['kept.json']);
    // a place where nothing can be kept
    const nowhere = join(folder, 'missing/kept.json');
    expect(await remembered(nowhere, 'a', async () => 'told')).toBe('told');
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
});
