import { spawnSync } from 'node:child_process';
import { chmodSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { CACHE_DIR } from '../../pipeline/store/installation.mjs';
import { insideContainer, openBrowser } from '../../pipeline/tracer/browser.ts';
import { browserAdvice, type FoundBrowser, findBrowsers } from '../../pipeline/tracer/browser-search.mjs';
import { buildFiles } from '../../pipeline/tracer/built-files.mjs';
import { PageServer } from '../../pipeline/tracer/page-server.ts';

let root: string;
beforeEach(() => {
  root = mkdtempSync(join(tmpdir(), 'bandwright-search-'));
});
afterEach(() => {
  rmSync(root, { recursive: true, force: true });
});

function fake(path: string, mode = 0o755, script = '#!/bin/sh\nexit 1\n'): string {
  const file = join(root, path);
  mkdirSync(dirname(file), { recursive: true });
  writeFileSync(file, script);
  chmodSync(file, mode);
  return file;
}

async function search(
  env: Record<string, string> = {},
  more: { cacheDir?: string; platform?: NodeJS.Platform } = {},
) {
  const found: FoundBrowser[] = [];
  const options = {
    env: { PATH: join(root, 'bin'), ...env },
    platform: 'linux' as const,
    home: root,
    ...more,
  };
  for await (const browser of findBrowsers(options)) found.push(browser);
  // The machine's own browsers at fixed places are not this test's business.
  return found.filter((b) => b.path.startsWith(root) || b.how !== 'system');
}

describe('order of search', () => {
  test('the variable first, and then nothing else', async () => {
    fake('bin/google-chrome');
    const mine = fake('mine/chrome');
    expect(await search({ BANDWRIGHT_BROWSER: mine })).toEqual([
      { how: 'BANDWRIGHT_BROWSER', path: mine, env: {} },
    ]);
  });

  test.each(['nowhere', 'text', 'bin'])(
    'a variable that names no executable is a fault: %s',
    async (name) => {
      fake('bin/google-chrome');
      fake('text', 0o644);
      const [found, ...others] = await search({ BANDWRIGHT_BROWSER: join(root, name) });
      expect(found.fault).toBe('not an executable file');
      expect(others).toEqual([]);
    },
  );

  test("puppeteer's cache before the system, headless shells before browsers, newest first", async () => {
    const system = fake('bin/chromium');
    const shell = (v: string) =>
      fake(
        `.cache/puppeteer/chrome-headless-shell/linux-${v}/chrome-headless-shell-linux64/chrome-headless-shell`,
      );
    const chrome = fake('.cache/puppeteer/chrome/linux-150.0.1.0/chrome-linux64/chrome');
    const old = shell('99.0.4.0');
    const recent = shell('148.0.7.9');
    expect((await search()).map((b) => b.path)).toEqual([recent, old, chrome, system]);
  });

  test('system browsers by name, then by place on the path; what cannot be executed is passed over', async () => {
    fake('bin/google-chrome', 0o644);
    const stable = fake('other/google-chrome-stable');
    const chromium = fake('bin/chromium');
    const found = await search({ PATH: `${join(root, 'bin')}:${join(root, 'other')}` });
    expect(found.map((b) => [b.how, b.path])).toEqual([
      ['system', stable],
      ['system', chromium],
    ]);
  });

  test('usual places on macOS and Windows', async () => {
    const mac = fake('Applications/Google Chrome.app/Contents/MacOS/Google Chrome');
    expect((await search({}, { platform: 'darwin' })).map((b) => b.path)).toEqual([mac]);
    const edge = fake('Microsoft/Edge/Application/msedge.exe');
    expect((await search({ ProgramFiles: root }, { platform: 'win32' })).map((b) => b.path)).toEqual([edge]);
  });

  test.runIf(process.platform === 'linux' && process.arch === 'x64')(
    'the embedded one last; processes that unpack it at once all get one that starts',
    async () => {
      const cacheDir = join(root, 'cache');
      const system = fake('bin/chromium');
      const both = await Promise.all([search({}, { cacheDir }), search({}, { cacheDir })]);
      for (const found of both) {
        expect(found.map((b) => b.how)).toEqual(['system', 'embedded']);
        expect(found[0].path).toBe(system);
        expect(found[1].fault).toBeUndefined();
        const { stdout } = spawnSync(found[1].path, ['--version'], {
          env: { ...process.env, ...found[1].env },
          encoding: 'utf8',
        });
        expect(stdout).toMatch(/^Chromium \d+/);
      }
    },
  );
});

describe('starting', () => {
  async function withServer<T>(work: (blank: string) => Promise<T>): Promise<T> {
    const server = await PageServer.open(await buildFiles());
    try {
      return await work(server.blank);
    } finally {
      await server.close();
    }
  }

  test('a browser that does not start is passed over for the next', async () => {
    const broken = fake(
      'bin/google-chrome',
      0o755,
      '#!/bin/sh\necho "error while loading shared libraries" >&2\nexit 127\n',
    );
    await withServer(async (blank) => {
      const env = { PATH: join(root, 'bin'), PUPPETEER_CACHE_DIR: root };
      const opened = await openBrowser({ blank, cacheDir: CACHE_DIR, env });
      expect(opened.found.path).not.toBe(broken);
      expect(opened.fitness).toEqual({ simd: true, workers: true, sharedMemory: true });
      await opened.close();
    });
  });

  test('one that is killed while it starts is started again', async () => {
    const real = (await search({}, { cacheDir: CACHE_DIR })).at(-1)!;
    const mark = join(root, 'killed once');
    const frail = fake(
      'chrome',
      0o755,
      `#!/bin/sh\n[ -e "${mark}" ] || { touch "${mark}"; kill -9 $$; }\nexec "${real.path}" "$@"\n`,
    );
    await withServer(async (blank) => {
      const opened = await openBrowser({
        blank,
        cacheDir: CACHE_DIR,
        env: { BANDWRIGHT_BROWSER: frail, ...real.env },
      });
      expect(opened.found.path).toBe(frail);
      await opened.close();
    });
  });

  test('when none starts, the problem tells what was tried, why it failed and what to do', async () => {
    const broken = fake(
      'chrome',
      0o755,
      '#!/bin/sh\necho "error while loading shared libraries" >&2\nexit 127\n',
    );
    await withServer(async (blank) => {
      const failing = openBrowser({ blank, cacheDir: CACHE_DIR, env: { BANDWRIGHT_BROWSER: broken } });
      await expect(failing).rejects.toThrow(
        /chrome \(BANDWRIGHT_BROWSER\): .*error while loading shared libraries/,
      );
      await expect(failing).rejects.toThrow(browserAdvice());
    });
  });

  test('outside containers the sandbox stays on, unless the system forbids it', async () => {
    const real = (await search({}, { cacheDir: CACHE_DIR })).at(-1)!;
    const forbidden = fake(
      'chrome',
      0o755,
      `#!/bin/sh\ncase "$*" in *--no-sandbox*) exec "${real.path}" "$@";; esac\necho "FATAL: No usable sandbox!" >&2\nexit 1\n`,
    );
    expect([insideContainer(0, () => false), insideContainer(1000, () => true)]).toEqual([true, true]);
    const sandboxed = !insideContainer(1000, () => false);
    await withServer(async (blank) => {
      const env = { BANDWRIGHT_BROWSER: forbidden, ...real.env };
      const opened = await openBrowser({ blank, cacheDir: CACHE_DIR, env, sandboxed });
      expect(opened.sandboxed).toBe(false);
      await opened.close();
    });
  });
});
