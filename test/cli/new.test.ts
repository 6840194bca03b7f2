import { mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { main } from '../../pipeline/cli/main.ts';
import { quoted } from '../../pipeline/cli/rerun.ts';
import { readPlan } from '../../pipeline/plan/read-plan.ts';

let folder = '';
beforeAll(async () => {
  folder = await mkdtemp(path.join(tmpdir(), 'new-'));
});
afterAll(() => rm(folder, { recursive: true }));

async function run(...args: string[]): Promise<{ code: number; out: string; err: string }> {
  const told = { out: '', err: '' };
  const to = (name: 'out' | 'err') => ({
    write: (text: string) => {
      told[name] += text;
    },
    terminal: false,
    columns: 100,
  });
  return { code: await main(['new', ...args], { out: to('out'), err: to('err') }), ...told };
}

it('begins with a config and a template of one’s own that need no correction, from every template', async () => {
  const templates = (await readdir('templates')).flatMap((f) => /^(.+)\.yaml$/.exec(f)?.[1] ?? []);
  for (const template of templates) {
    const at = path.join(folder, `Für ${template}`);
    const { code, out } = await run(at, '--from', template);
    expect(code).toBe(0);
    const file = path.join(at, `fur-${template}.yaml`);
    expect(out).toContain(path.relative('', file));
    // to be pasted: the folder has a space in its name
    expect(out).toContain(` make ${quoted(path.relative('', file))} --draft `);
    const { plan, warnings, sources } = await readPlan(file);
    expect(warnings).toEqual([]);
    expect(plan.variants).toHaveLength(1);
    expect([...sources.values()][0].ownTemplate).toBe(true);
    for (const name of [`fur-${template}.yaml`, 'band.yaml']) {
      const [, schema] = /\$schema=(\S+)/.exec(await readFile(path.join(at, name), 'utf8')) ?? [];
      expect(JSON.parse(await readFile(path.join(at, schema), 'utf8'))).toHaveProperty('properties');
    }
  }
});

it('writes over nothing, and nothing by halves', async () => {
  const at = path.join(folder, 'mine');
  expect((await run(at)).code).toBe(0);
  await rm(path.join(at, 'mine.yaml'));
  await writeFile(path.join(at, 'band.yaml'), 'my own');
  const before = await readdir(at);
  const { code, err } = await run(at);
  expect(code).toBe(2);
  expect(err).toContain('band.yaml');
  expect(await readdir(at)).toEqual(before);
  expect(await readFile(path.join(at, 'band.yaml'), 'utf8')).toBe('my own');
  expect((await run(path.join(folder, 'x'), '--from', 'tidelin')).err).toContain('tideline');
  expect(await readdir(folder)).not.toContain('x');
});
