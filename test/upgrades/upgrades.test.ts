/** What released versions left is taken over or made anew by today's, and nothing of it is lost on the way. */
import { createHash } from 'node:crypto';
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { EXIT } from '../../pipeline/cli/exit.ts';
import { main } from '../../pipeline/cli/main.ts';
import { catalogueSchema } from '../../pipeline/facts/catalogue-schema.ts';
import { KEPT, unpackRelease } from './kept-release.ts';

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'bandwright-upgrade-'));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

async function run(...args: string[]): Promise<{ code: number; said: string }> {
  let said = '';
  const stream = { write: (text: string) => (said += text), terminal: false, columns: 100 };
  return { code: await main(args, { out: stream, err: stream }), said };
}

const catalogueAt = (out: string) =>
  catalogueSchema.parse(JSON.parse(readFileSync(join(out, 'kept/catalogue.json'), 'utf8')));

const files = readdirSync(KEPT).filter((name) => name.endsWith('.json.br'));

it('a catalogue of the first release is kept', () => {
  expect(files).toContain('0.1.0.json.br');
});

describe.each(files)('%s', (file) => {
  it('is whole by today’s reading, and today’s run completes it', async () => {
    const { config, out } = unpackRelease(file, folder);
    const before = catalogueAt(out);
    expect(await run('verify', config, '--out', out)).toMatchObject({ code: EXIT.ok });
    writeFileSync(join(out, 'kept/notes.txt'), 'mine');

    const made = await run('make', config, '--out', out);
    expect(made.code, made.said).toBe(EXIT.ok);
    const after = catalogueAt(out);
    expect(after.items.map(({ sku }) => sku)).toEqual(before.items.map(({ sku }) => sku));
    for (const { sku, shots } of after.items)
      for (const { file: name, sha256 } of shots.flatMap(({ pictures }) => pictures)) {
        const bytes = readFileSync(join(out, 'kept', name));
        expect(createHash('sha256').update(bytes).digest('hex'), `${sku}: ${name}`).toBe(sha256);
      }
    expect(readFileSync(join(out, 'kept/notes.txt'), 'utf8')).toBe('mine');
    expect((await run('make', config, '--out', out)).said).toContain('Nothing to do');
    expect(await run('verify', config, '--out', out)).toMatchObject({ code: EXIT.ok });
  });
});
