import { spawn } from 'node:child_process';
import { mkdtemp, readdir, readFile, rm, utimes, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { ProblemError } from '../../pipeline/problem.ts';
import { ArtefactStore } from '../../pipeline/store/artefact-store.ts';
import type { ContentKey } from '../../pipeline/store/content-key.ts';
import { artefactKey } from '../../pipeline/store/content-key.ts';

const KEY = artefactKey('a key');
let folder: string;
let store: ArtefactStore;
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'bandwright-store-'));
  store = new ArtefactStore(join(folder, 'store'));
});
afterEach(() => rm(folder, { recursive: true, force: true }));

const path = () => join(folder, 'store', 'film', KEY.slice(0, 2), KEY);

describe('artefact store', () => {
  it('gives back what was put, per layer, also nothing at all', async () => {
    expect(await store.has('film', KEY)).toBe(false);
    expect(await store.get('film', KEY)).toBeUndefined();
    await store.put('film', KEY, Buffer.from('pixels'));
    await store.put('model', KEY, new Uint8Array());
    expect(Buffer.from((await store.get('film', KEY))!).toString()).toBe('pixels');
    expect(await store.size('film', KEY)).toBe(6);
    expect(await store.get('model', KEY)).toHaveLength(0);
    expect(await store.has('picture', KEY)).toBe(false);
    expect(await store.keys('film')).toEqual([KEY]);
  });

  it('replaces whole and leaves no temporary files', async () => {
    await store.put('film', KEY, Buffer.from('one'));
    await store.put('film', KEY, Buffer.from('another'));
    expect(Buffer.from((await store.get('film', KEY))!).toString()).toBe('another');
    expect(await readdir(join(folder, 'store', 'film', KEY.slice(0, 2)))).toEqual([KEY]);
  });

  it('treats a cut or altered file as absent', async () => {
    await store.put('film', KEY, Buffer.from('pixels'));
    const whole = await readFile(path());
    await writeFile(path(), whole.subarray(0, whole.length - 1));
    expect(await store.has('film', KEY)).toBe(false);
    expect(await store.get('film', KEY)).toBeUndefined();
    whole[whole.length - 1] ^= 1;
    await writeFile(path(), whole);
    expect(await store.get('film', KEY)).toBeUndefined();
    // and has removed it
    expect(await store.has('film', KEY)).toBe(false);
  });

  it('is never half there when its process is killed while storing', async () => {
    const module = pathToFileURL(join(import.meta.dirname, '../../pipeline/store/artefact-store.ts')).href;
    const script =
      `import { ArtefactStore } from ${JSON.stringify(module)};` +
      `const store = new ArtefactStore(process.argv[1]);` +
      `for (let i = 0; ; i++) { await store.put('film', '${KEY}', Buffer.alloc(4e6, 'ab'[i % 2]));` +
      `if (i === 0) process.stdout.write('stored once'); }`;
    for (const delay of [3, 11, 26]) {
      const child = spawn(
        process.execPath,
        ['--import', './pipeline/cli/typescript.mjs', '--input-type=module', '-e', script, store.folder],
        {
          stdio: ['ignore', 'pipe', 'inherit'],
        },
      );
      await new Promise((resolve) => child.stdout.once('data', resolve));
      await new Promise((resolve) => setTimeout(resolve, delay));
      child.kill('SIGKILL');
      await new Promise((resolve) => child.once('exit', resolve));
      // an earlier whole one was there, so there must be a whole one now
      const found = await store.get('film', KEY);
      expect(found).toHaveLength(4e6);
      expect(new Set(found).size).toBe(1);
    }
  });

  it('sweeps the temporary files of dead processes, whatever their clock said', async () => {
    await store.put('film', KEY, Buffer.from('pixels'));
    const prefix = join(folder, 'store', 'film', KEY.slice(0, 2));
    const old = join(prefix, `.${KEY}.0123456789ab.tmp`);
    await writeFile(old, 'x');
    await utimes(old, new Date(0), new Date(0));
    await writeFile(join(prefix, `.${KEY}.0123456789ac.tmp`), 'x');
    expect(await store.sweep()).toBe(2);
    expect(await readdir(prefix)).toEqual([KEY]);
    expect(await store.keys('film')).toEqual([KEY]);
  });

  it('says so when the place cannot be written', async () => {
    await writeFile(join(folder, 'store'), 'a file in the way');
    const error = await store.put('film', KEY, Buffer.from('x')).catch((e) => e);
    expect(error).toBeInstanceOf(ProblemError);
    expect((error as ProblemError).problems[0].code).toBe('output-not-writable');
  });

  it('takes only content keys for names', async () => {
    await expect(store.put('film', '../../etc/passwd' as ContentKey, Buffer.from('x'))).rejects.toThrow(
      RangeError,
    );
  });
});
