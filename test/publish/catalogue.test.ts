import { spawn } from 'node:child_process';
import { mkdir, mkdtemp, readdir, readFile, rename, rm, stat, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import * as z from 'zod';
import {
  catalogueJsonSchema,
  catalogueSchema,
  manifestSchema,
} from '../../pipeline/facts/catalogue-schema.ts';
import { ProblemError } from '../../pipeline/problem.ts';
import { type CatalogueItem, publishCatalogue, readCatalogue } from '../../pipeline/publish/catalogue.ts';
import { sha256 } from '../../pipeline/store/content-key.ts';
import { sampleItem, sampleMeta, samplePicture } from './sample-items.ts';

let base: string;
let out: string;
beforeEach(async () => {
  base = await mkdtemp(join(tmpdir(), 'bandwright-publish-'));
  out = join(base, 'output', 'sample');
});
afterEach(() => rm(base, { recursive: true, force: true }));

const publish = (items: CatalogueItem[], planned = items.map((i) => i.sku), over = {}) =>
  publishCatalogue(out, items, sampleMeta(planned, over));
const visible = async () => (await readdir(out)).filter((n) => !n.startsWith('.')).sort();
/** every file below the folder with its bytes and time */
async function everything(folder = out): Promise<Record<string, string>> {
  const found: Record<string, string> = {};
  for (const entry of await readdir(folder, { withFileTypes: true, recursive: true })) {
    if (!entry.isFile()) continue;
    const path = join(entry.parentPath, entry.name);
    found[path.slice(folder.length + 1)] = `${(await stat(path)).mtimeMs} ${await readFile(path, 'latin1')}`;
  }
  return found;
}

describe('publishing a catalogue', () => {
  it('writes a folder per SKU, models, listings, and nothing else that is visible', async () => {
    const report = await publish([sampleItem('A-1'), sampleItem('A-2')]);
    expect(report.written).toEqual(['A-1', 'A-2']);
    expect(await visible()).toEqual([
      'A-1',
      'A-2',
      'catalogue.csv',
      'catalogue.json',
      'catalogue.jsonld',
      'changes.json',
      'index.html',
      'models',
      'page',
      'products',
      'shop-import.csv',
    ]);
    expect((await readdir(join(out, 'A-1'))).sort()).toEqual([
      'A-1-front-800.webp',
      'A-1-front-thumb.webp',
      'manifest.json',
    ]);
    expect(await readFile(join(out, 'A-1/A-1-front-800.webp'), 'utf8')).toBe('A-1');
    const manifest = manifestSchema.parse(JSON.parse(await readFile(join(out, 'A-1/manifest.json'), 'utf8')));
    expect(manifest.item.shots[0].noise.reached).toBe(0.018);
    const catalogue = catalogueSchema.parse(JSON.parse(await readFile(join(out, 'catalogue.json'), 'utf8')));
    expect(catalogue.items.map((i) => i.sku)).toEqual(['A-1', 'A-2']);
    expect(catalogue.models[0]).toMatchObject({ file: 'models/wave.glb', bytes: 3 });
    for (const word of [
      'renderings',
      'approximate',
      'nickel',
      'qualified professional',
      'A qualified goldsmith checks every piece',
    ]) {
      expect(catalogue.cautions.join(' ')).toContain(word);
    }
  });

  it('touches nothing when nothing changed', async () => {
    await publish([sampleItem('A-1'), sampleItem('A-2')]);
    const before = await everything();
    const report = await publish([sampleItem('A-1'), sampleItem('A-2')]);
    expect(report).toMatchObject({
      written: [],
      unchanged: ['A-1', 'A-2'],
      removed: [],
      files: [],
      bytesWritten: 0,
    });
    expect(await everything()).toEqual(before);
  });

  it('does not ask for picture bytes it need not write', async () => {
    await publish([sampleItem('A-1')]);
    const item = sampleItem('A-1');
    for (const picture of item.shots[0].pictures) picture.data = () => Promise.reject(new Error('asked'));
    expect((await publish([item])).unchanged).toEqual(['A-1']);
  });

  it('rewrites an item whose picture or facts changed or whose files are damaged', async () => {
    await publish([sampleItem('A-1'), sampleItem('A-2'), sampleItem('A-3')]);
    await writeFile(join(out, 'A-3/A-3-front-800.webp'), 'torn off');
    const report = await publish([sampleItem('A-1', 'new picture'), sampleItem('A-2'), sampleItem('A-3')]);
    expect(report.written).toEqual(['A-1', 'A-3']);
    expect(await readFile(join(out, 'A-1/A-1-front-800.webp'), 'utf8')).toBe('new picture');
    expect(await readFile(join(out, 'A-3/A-3-front-800.webp'), 'utf8')).toBe('A-3');
  });

  it('keeps planned items it was not handed, lists them in the plan’s order, and drops unplanned ones', async () => {
    await publish([sampleItem('A-1'), sampleItem('A-2'), sampleItem('A-3')]);
    const report = await publish([sampleItem('A-3')], ['A-3', 'A-1', 'A-9']);
    expect(report).toMatchObject({ unchanged: ['A-3'], kept: ['A-1'], removed: ['A-2'] });
    expect((await readCatalogue(out))!.items.map((i) => i.sku)).toEqual(['A-3', 'A-1']);
    expect(await visible()).not.toContain('A-2');
  });

  it('removes only folders with its own manifest', async () => {
    await publish([sampleItem('A-1')]);
    await mkdir(join(out, 'notes'));
    await writeFile(join(out, 'notes/manifest.json'), '{"name":"someone else"}');
    await writeFile(join(out, 'price list.xlsx'), 'x');
    const report = await publish([sampleItem('B-1')]);
    expect(report.removed).toEqual(['A-1']);
    expect(await visible()).toEqual([
      'B-1',
      'catalogue.csv',
      'catalogue.json',
      'catalogue.jsonld',
      'changes.json',
      'index.html',
      'models',
      'notes',
      'page',
      'price list.xlsx',
      'products',
      'shop-import.csv',
    ]);
  });

  it('keeps the models that listed items use and removes those that none uses', async () => {
    await publish([sampleItem('A-1')]);
    const other = sampleItem('B-1');
    other.bands[0].model = { file: 'models/other.glb', variant: 'v' };
    const models = [{ file: 'models/other.glb', shape: 't', variants: ['v'], data: Buffer.from('other') }];
    await publish([other], ['A-1', 'B-1'], { models });
    expect((await readCatalogue(out))!.models.map((m) => m.file)).toEqual([
      'models/other.glb',
      'models/wave.glb',
    ]);
    await publish([other], ['B-1'], { models });
    expect((await readdir(join(out, 'models'))).sort()).toEqual(['other.glb', 'other.glb.js']);
  });
});

describe('a publish cut short', () => {
  it('leaves the old item whole when a new picture fails half-way', async () => {
    await publish([sampleItem('A-1', 'old')]);
    const before = await everything();
    const item = sampleItem('A-1', 'new');
    item.shots[0].pictures[1].data = () => Promise.reject(new Error('disk gone'));
    await expect(publish([item])).rejects.toThrow('disk gone');
    expect(await everything()).toEqual(before);
  });

  it('never publishes bytes that are not those of the manifest', async () => {
    const item = sampleItem('A-1');
    item.shots[0].pictures[0] = { ...samplePicture('true'), data: Buffer.from('fake') };
    await expect(publish([item])).rejects.toThrow(RangeError);
    expect(await visible()).toEqual(['models']);
  });

  it('puts back an item killed between its two renames', async () => {
    await publish([sampleItem('A-1'), sampleItem('A-2')]);
    await mkdir(join(out, '.bandwright/retired'), { recursive: true });
    await rename(join(out, 'A-1'), join(out, '.bandwright/retired/A-1'));
    const report = await publish([sampleItem('A-2')], ['A-1', 'A-2']);
    expect(report.kept).toEqual(['A-1']);
    expect(await readFile(join(out, 'A-1/A-1-front-800.webp'), 'utf8')).toBe('A-1');
    expect(await readdir(join(out, '.bandwright/retired'))).toEqual([]);
  });

  it('leaves whole items only when its process is killed, and mends the rest next time', async () => {
    const url = (file: string) => JSON.stringify(pathToFileURL(join(import.meta.dirname, file)).href);
    const script =
      `import { publishCatalogue } from ${url('../../pipeline/publish/catalogue.ts')};` +
      `import { sampleItem, sampleMeta } from ${url('sample-items.ts')};` +
      `for (let i = 0; ; i++) { const text = 'ab'[i % 2].repeat(3e5);` +
      `await publishCatalogue(process.argv[1], ['A-1', 'A-2'].map((s) => sampleItem(s, text)), sampleMeta(['A-1', 'A-2']));` +
      `if (i === 0) process.stdout.write('published once'); }`;
    for (const delay of [2, 13, 31]) {
      const child = spawn(
        process.execPath,
        ['--import', './pipeline/cli/typescript.mjs', '--input-type=module', '-e', script, out],
        {
          stdio: ['ignore', 'pipe', 'inherit'],
        },
      );
      await new Promise((resolve) => child.stdout.once('data', resolve));
      await new Promise((resolve) => setTimeout(resolve, delay));
      child.kill('SIGKILL');
      await new Promise((resolve) => child.once('exit', resolve));
      for (const sku of (await visible()).filter((n) => n.startsWith('A-'))) {
        const { item } = manifestSchema.parse(
          JSON.parse(await readFile(join(out, sku, 'manifest.json'), 'utf8')),
        );
        for (const { file, sha256: hash } of item.shots.flatMap((s) => s.pictures)) {
          expect(sha256(await readFile(join(out, file)))).toBe(hash);
        }
      }
      catalogueSchema.parse(JSON.parse(await readFile(join(out, 'catalogue.json'), 'utf8')));
      // nothing handed over: both items must still be there, from before or from after
      expect((await publish([], ['A-1', 'A-2'])).kept).toEqual(['A-1', 'A-2']);
    }
  });

  it('does not count a folder without manifest', async () => {
    await publish([sampleItem('A-1'), sampleItem('A-2')]);
    await rm(join(out, 'A-2/manifest.json'));
    await publish([sampleItem('A-1')], ['A-1', 'A-2']);
    expect((await readCatalogue(out))!.items.map((i) => i.sku)).toEqual(['A-1']);
  });
});

describe('places and names that will not do', () => {
  it('a file where the folder should be is a problem, not a crash', async () => {
    await mkdir(join(base, 'output'));
    await writeFile(out, 'in the way');
    const error = await publish([sampleItem('A-1')]).catch((e) => e);
    expect(error).toBeInstanceOf(ProblemError);
    expect((error as ProblemError).problems[0]).toMatchObject({ code: 'output-not-writable', path: out });
  });

  it.each(['', '..', 'a/b', 'a\\b', '.hidden', 'models', 'Index.html', 'CON', 'nul.x', 'trailing.', 'ü'])(
    'SKU %j',
    async (sku) => {
      const error = await publish([sampleItem(sku)]).catch((e) => e);
      expect(error).toBeInstanceOf(ProblemError);
      expect((error as ProblemError).problems[0].code).toBe('sku-not-a-folder-name');
    },
  );

  it('SKUs that differ only in case', async () => {
    await expect(publish([sampleItem('A-1'), sampleItem('a-1')])).rejects.toThrow(/sku-twice/);
  });

  it('models outside their folder', async () => {
    const models = [{ file: '../x.glb', shape: 's', variants: [], data: Buffer.from('x') }];
    await expect(publish([sampleItem('A-1')], ['A-1'], { models })).rejects.toThrow(RangeError);
  });
});

describe('catalogue.schema.json', () => {
  // after a change of the schema: npx vitest run test/publish -u
  it('is the JSON Schema of the types', async () => {
    await expect(catalogueJsonSchema()).toMatchFileSnapshot('../../pipeline/facts/catalogue.schema.json');
    expect(JSON.parse(catalogueJsonSchema()).$schema).toBe('https://json-schema.org/draft/2020-12/schema');
    expect(() => z.fromJSONSchema(JSON.parse(catalogueJsonSchema()))).not.toThrow();
  });
});
