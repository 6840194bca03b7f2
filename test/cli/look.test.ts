import { spawn } from 'node:child_process';
import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { main } from '../../pipeline/cli/main.ts';
import { PLAIN } from '../look/look-config.ts';

let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(path.join(tmpdir(), 'look-cli-'));
  await writeFile(path.join(folder, 'config.yaml'), PLAIN);
});
afterAll(() => rm(folder, { recursive: true }));

/** Runs the command on a system that has nothing to open addresses with. */
function look(...args: string[]) {
  const child = spawn(process.execPath, ['pipeline/cli/bandwright.mjs', 'look', ...args], {
    env: { ...process.env, PATH: folder },
  });
  let text = '';
  const said = (what: RegExp) =>
    new Promise<RegExpExecArray>((resolve, reject) => {
      const see = () => {
        const found = what.exec(text);
        if (found) resolve(found);
      };
      for (const stream of [child.stdout, child.stderr])
        stream.on('data', (bytes) => {
          text += bytes;
          see();
        });
      child.once('exit', () => reject(new Error(text)));
    });
  const ended = new Promise<number | null>((resolve) => child.once('exit', resolve));
  return { child, said, ended };
}

describe('bandwright look', () => {
  it('prints the address of its page without a way to open it, and ends when it is interrupted', async () => {
    const run = look(path.join(folder, 'config.yaml'));
    const [url] = await run.said(/http:\/\/127\.0\.0\.1:\d+\/[0-9a-f]{48}\//);
    const page = await fetch(url);
    expect(page.status).toBe(200);
    expect(await page.text()).toContain('Trial bands');
    expect(page.headers.get('cross-origin-opener-policy')).toBe('same-origin');
    run.child.kill('SIGINT');
    expect(await run.ended).toBe(0);
  });

  it('says what it wants in place of a file that is not there, or a port that is none', async () => {
    const refused = async (...args: string[]) => {
      let text = '';
      const to = { write: (said: string) => (text += said), terminal: false, columns: 100 };
      expect(await main(['look', ...args], { out: to, err: to })).toBe(2);
      return text;
    };
    expect(await refused(path.join(folder, 'none.yaml'))).toContain(
      'expected a config, a template file or the name of a template',
    );
    expect(await refused(path.join(folder, 'config.yaml'), '--port', '99999')).toContain(
      '--port: expected a number from 1 to 65535 but received 99999',
    );
  });
});
