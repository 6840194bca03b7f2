import { mkdtempSync, readFileSync, renameSync, rmSync, statSync, utimesSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { unlessSame } from '../../pipeline/store/built-once.mjs';

let folder: string;
let built: number;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'bandwright-built-'));
  built = 0;
  writeFileSync(join(folder, 'source'), 'one');
});
afterEach(() => rmSync(folder, { recursive: true }));

/** @returns how often it was built so far */
async function build(): Promise<number> {
  const output = join(folder, 'output');
  await unlessSame(join(folder, 'stamp'), 'esbuild', [output], async () => {
    built++;
    writeFileSync(output, '');
    return [join(folder, 'source')];
  });
  return built;
}

it('builds once, also where the same source is touched or another file', async () => {
  expect([await build(), await build()]).toEqual([1, 1]);
  writeFileSync(join(folder, 'source'), 'one');
  writeFileSync(join(folder, 'other'), 'one');
  expect(await build()).toBe(1);
});

it('reads a source that was touched once, and not each time', async () => {
  await build();
  const stamp = join(folder, 'stamp');
  const states = () => JSON.parse(readFileSync(stamp, 'utf8')).states;
  const before = states();
  writeFileSync(join(folder, 'source'), 'one');
  expect(await build()).toBe(1);
  expect(states()).not.toBe(before);
  const { mtimeMs } = statSync(stamp);
  expect(await build()).toBe(1);
  expect(statSync(stamp).mtimeMs).toBe(mtimeMs);
});

it('builds anew from a source of the same size and time, written in place or put in its place', async () => {
  const source = join(folder, 'source');
  const { atime, mtime } = statSync(source);
  expect(await build()).toBe(1);
  writeFileSync(source, 'two');
  utimesSync(source, atime, mtime);
  expect(await build()).toBe(2);
  writeFileSync(join(folder, 'third'), 'thr');
  utimesSync(join(folder, 'third'), atime, mtime);
  renameSync(join(folder, 'third'), source);
  expect([await build(), await build()]).toEqual([3, 3]);
});

it('builds anew when a source or what was built is gone', async () => {
  await build();
  rmSync(join(folder, 'output'));
  expect(await build()).toBe(2);
  rmSync(join(folder, 'source'));
  expect(await build()).toBe(3);
});
