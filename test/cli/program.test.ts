import { readFileSync, statSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { expect, it } from 'vitest';
import { program } from '../../pipeline/cli/program.mjs';

it('is bundled once, and anew where any module of any command has changed', async () => {
  const main = fileURLToPath(await program());
  const before = statSync(main).mtimeMs;
  expect(fileURLToPath(await program())).toBe(main);
  expect(statSync(main).mtimeMs).toBe(before);
  const { inputs } = JSON.parse(readFileSync(join(dirname(main), 'inputs.json'), 'utf8'));
  // what a command loads only when it is given, too, and what is no TypeScript
  for (const file of ['cli/main.ts', 'cli/gc.ts', 'run/make.ts', 'store/installation.mjs', 'cli/program.mjs'])
    expect(inputs).toContain(`pipeline/${file}`);
});

it('answers as the command does', async () => {
  const { main } = await import(await program());
  let said = '';
  const terminal = { write: (text: string) => (said += text), terminal: false, columns: 100 };
  expect(await main(['size', 'US 7'], { out: terminal, err: terminal })).toBe(0);
  expect(said).toContain('54.42 mm');
});
