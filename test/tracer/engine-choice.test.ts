import { mkdtempSync, readdirSync, rmSync, symlinkSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { CACHE_DIR } from '../../pipeline/store/installation.mjs';
import { buildFiles } from '../../pipeline/tracer/built-files.mjs';
import { chooseEngine, judge, tryEngines } from '../../pipeline/tracer/engine-choice.ts';

const CARD = {
  vendor: 'acme',
  architecture: 'one',
  device: '',
  description: '',
  driver: '1.2',
  software: false,
};

test('the card traces where it is one and faster, and why is told', () => {
  expect(judge(CARD, { cores: 1e6, card: 9e7 })).toMatchObject({
    engine: 'webgpu',
    adapter: 'acme one 1.2',
    why: expect.stringContaining('90.0 times'),
  });
  for (const [facts, speeds, why] of [
    [undefined, undefined, /no graphics card/],
    [{ ...CARD, software: true }, { cores: 1e6, card: 9e7 }, /acme one 1.2 is a processor/],
    [CARD, { cores: 1e6, card: 9e5 }, /0.90 times as fast/],
    [CARD, { cores: 1e6, refused: 'no memory' }, /refuses: no memory/],
  ] as const)
    expect(judge(facts, speeds)).toMatchObject({ engine: 'wasm-simd', why: expect.stringMatching(why) });
});

test('an engine that is asked for by name is taken without a look at the machine', async () => {
  const options = { env: { BANDWRIGHT_BROWSER: '/nowhere' } };
  expect((await chooseEngine('cpu', options)).engine).toBe('wasm-simd');
  expect((await chooseEngine('gpu', options)).engine).toBe('webgpu');
});

test('a card is tried once and its speeds are remembered', async () => {
  const cacheDir = mkdtempSync(join(tmpdir(), 'card-trials-'));
  try {
    // an empty cache would have the browser unpacked once more
    for (const name of readdirSync(CACHE_DIR).filter((n) => /^(chromium-|embedded$)/.test(n)))
      symlinkSync(join(CACHE_DIR, name), join(cacheDir, name));
    const options = { files: await buildFiles(), cacheDir, softwareCard: true };
    const first = await tryEngines(options, async () => ({ cores: 1, card: 5 }));
    expect(first).toMatchObject({ engine: 'webgpu', adapter: expect.stringContaining('swiftshader') });
    const again = await tryEngines(options, async () => {
      throw new Error('it was tried again');
    });
    expect(again).toEqual(first);
    // that a processor is none without the leave of tests is seen where `doctor` looks at this machine
  } finally {
    rmSync(cacheDir, { recursive: true });
  }
});
