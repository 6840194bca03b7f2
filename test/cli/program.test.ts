import { spawnSync } from 'node:child_process';
import {
  cpSync,
  mkdirSync,
  mkdtempSync,
  readFileSync,
  realpathSync,
  renameSync,
  rmSync,
  statSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { build } from 'esbuild';
import { expect, it } from 'vitest';
import { BUNDLED, program } from '../../pipeline/cli/program.mjs';
import * as typeface from '../../pipeline/plan/typeface.ts';
import { CACHE_DIR, ROOT } from '../../pipeline/store/installation.mjs';

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

it('is bundled anew where a clone was moved, and finds there what lies beside it', () => {
  const folder = realpathSync(mkdtempSync(join(tmpdir(), 'bandwright-moved-')));
  const here = join(folder, 'here');
  const there = join(folder, 'there');
  const told = (place: string) => {
    const code = `
      const { program } = await import('${pathToFileURL(join(place, 'pipeline/cli/program.mjs'))}');
      const { main } = await import(await program());
      console.log(main());`;
    const options = { encoding: 'utf8' } as const;
    const { stdout, stderr } = spawnSync(process.execPath, ['--input-type=module', '-e', code], options);
    expect(stderr).toBe('');
    return stdout.trim();
  };
  try {
    for (const room of ['cli', 'store'])
      cpSync(join(ROOT, 'pipeline', room), join(here, 'pipeline', room), { recursive: true });
    // a command that tells where it is, which is sooner bundled than all
    writeFileSync(join(here, 'pipeline/cli/main.ts'), 'export const main = () => import.meta.url;');
    for (const file of ['package.json', 'package-lock.json']) cpSync(join(ROOT, file), join(here, file));
    mkdirSync(join(here, 'node_modules'));
    symlinkSync(join(ROOT, 'node_modules/esbuild'), join(here, 'node_modules/esbuild'));
    expect(told(here)).toBe(pathToFileURL(join(here, 'pipeline/cli/main.ts')).href);
    renameSync(here, there);
    expect(told(there)).toBe(pathToFileURL(join(there, 'pipeline/cli/main.ts')).href);
  } finally {
    rmSync(folder, { recursive: true });
  }
});

it('reads typefaces with what stands for fontkit’s Brotli', async () => {
  const outfile = join(CACHE_DIR, `typeface-${process.pid}.mjs`);
  try {
    await build({ ...BUNDLED, entryPoints: ['pipeline/plan/typeface.ts'], outfile });
    const { missingCharacters, fontFaces } = await import(pathToFileURL(outfile).href);
    const text = 'Ilka Đặng Ωμέγα Привет नमस्ते 漢字';
    expect(missingCharacters(text)).toEqual([...'字漢'].map((letter) => letter.codePointAt(0)));
    expect(fontFaces(text)).toBe(typeface.fontFaces(text));
  } finally {
    rmSync(outfile, { force: true });
  }
});

it('tells faults by their places in the TypeScript', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'bandwright-places-'));
  try {
    const source = join(folder, 'fault.ts');
    writeFileSync(
      source,
      'interface Two {\n  two: number;\n}\nfunction fault(_: Two) {\n  throw new Error("meant");\n}\nfault({ two: 2 });\n',
    );
    const outfile = join(folder, 'fault.mjs');
    await build({
      entryPoints: [source],
      outfile,
      bundle: true,
      format: 'esm',
      sourcemap: true,
      sourcesContent: false,
    });
    const tells = new URL('../../pipeline/cli/source-places.mjs', import.meta.url).href;
    const code = `import { tellSourcePlaces } from '${tells}'; tellSourcePlaces(); await import('${pathToFileURL(outfile)}');`;
    const { status, stderr } = spawnSync(process.execPath, ['--input-type=module', '-e', code], {
      encoding: 'utf8',
    });
    expect(status).toBe(1);
    expect(stderr).toContain('Error: meant\n');
    expect(stderr).toContain(
      `at fault (${pathToFileURL(source)}:5:9)\n    at ${pathToFileURL(source)}:7:1\n`,
    );
  } finally {
    rmSync(folder, { recursive: true });
  }
});
