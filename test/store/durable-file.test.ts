import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { armFaults } from '../../pipeline/fault-point.ts';
import { sweepTemporary, writeDurably } from '../../pipeline/store/durable-file.ts';

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'bandwright-durable-'));
});
afterEach(() => {
  armFaults(undefined);
  rmSync(folder, { recursive: true, force: true });
});

it('a file is written although a maker that begins on the shared folder sweeps its temporary away', async () => {
  let swept = 0;
  armFaults(async (point) => {
    if (point === 'file.rename' && swept === 0) swept = await sweepTemporary(folder);
  });
  await writeDurably(join(folder, 'costs.json'), '{}');
  expect(swept).toBe(1);
  expect(readdirSync(folder)).toEqual(['costs.json']);
  expect(readFileSync(join(folder, 'costs.json'), 'utf8')).toBe('{}');
});
