/** Prints and drawings whose browser loses processes under their hands. */
import { EventEmitter } from 'node:events';
import { readFileSync, rmSync } from 'node:fs';
import { setTimeout as pause } from 'node:timers/promises';
import { ProtocolError, TimeoutError } from 'puppeteer';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { OpenBrowser } from '../../pipeline/tracer/browser.ts';
import { inOwnPage } from '../../pipeline/tracer/own-page.ts';
import { PageOpens } from '../../pipeline/tracer/page-opens.ts';
import { descendants, SEES_PROCESSES } from '../../pipeline/tracer/process-tree.ts';
import { createTracerSession, type TracerSession } from '../../pipeline/tracer/session.ts';
import { signal } from './end-processes.ts';
import { fakeFiles } from './fake-files.ts';

/** What a killed process may cost beyond the work itself, which may be done twice: puppeteer would wait for a minute. */
const NOTICED_MS = 10_000;
const TIMES = 4;
const OPENS_MS = 3000;
const kindOf = (pid: number) => {
  try {
    return /--type=([\w-]+)/.exec(readFileSync(`/proc/${pid}/cmdline`, 'latin1'))?.[1];
  } catch {
    return undefined;
  }
};
const processes = (kind: string) => descendants(process.pid).filter((pid) => kindOf(pid) === kind);
/** Draws for a second; what it reads back is nothing if the process that draws is gone meanwhile. */
const SLOW = `globalThis.slowly = async (order) => {
  const gl = document.createElement('canvas').getContext('webgl2');
  gl.clearColor(1, 1, 1, 1);
  await new Promise((done) => setTimeout(done, 1000));
  gl.clear(gl.COLOR_BUFFER_BIT);
  const pixel = new Uint8Array(4);
  gl.readPixels(0, 0, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, pixel);
  if (gl.isContextLost()) throw new Error('the drawing context was lost');
  return order + pixel[0];
};`;

describe.skipIf(!SEES_PROCESSES)('a short work whose browser loses processes', () => {
  let files: Awaited<ReturnType<typeof fakeFiles>>;
  let session: TracerSession;
  /** ms of a drawing with a browser's start, as slow as this machine is just now */
  let undisturbed: number;
  beforeAll(async () => {
    files = await fakeFiles();
    session = await createTracerSession({ files, workers: 1, opensMs: OPENS_MS });
    const began = performance.now();
    await session.draw?.(SLOW, 'slowly', 'warm');
    undisturbed = performance.now() - began;
  });
  afterAll(async () => {
    await session.close();
    rmSync(files.folder, { recursive: true });
  });

  it.each(['renderer', 'gpu-process'])('a drawing: its %s', async (kind) => {
    const drawn = session.draw?.(SLOW, 'slowly', 'white ');
    while (processes('renderer').length === 0 || processes(kind).length === 0) await pause(20);
    // it draws by now, unless the machine is slow: then its page is lost while it opens
    await pause(300);
    signal(processes(kind), 'SIGKILL');
    const began = performance.now();
    expect(await drawn).toBe('white 255');
    expect(performance.now() - began).toBeLessThan(NOTICED_MS + TIMES * undisturbed);
  });

  const timed = async (html: string) => {
    const began = performance.now();
    const pdf = await session.print?.(html);
    expect(
      Buffer.from(pdf ?? [])
        .subarray(0, 5)
        .toString(),
    ).toBe('%PDF-');
    return performance.now() - began;
  };

  it('a print whose browser cannot make a page any more', async () => {
    await session.start();
    // before the first print has left a page that serves for others
    signal(processes('zygote'), 'SIGKILL');
    expect(await timed('<p>first</p>')).toBeLessThan(NOTICED_MS + TIMES * undisturbed);
  });

  it.each(['renderer', 'zygote|renderer'])('a print after another: every %s', async (kinds) => {
    await timed('<p>before</p>');
    signal(kinds.split('|').flatMap(processes), 'SIGKILL');
    expect(await timed('<!doctype html><p>a proof</p>')).toBeLessThan(NOTICED_MS + TIMES * undisturbed);
  });
});

describe('a short work that fails while its browser lives', () => {
  /** How it ends, and whether the browser was left to live. */
  async function endOf(error: Error): Promise<{ error: Error; lives: boolean }> {
    let lives = true;
    const page = Object.assign(new EventEmitter(), { close: async () => {} });
    const browser = Object.assign(new EventEmitter(), { connected: true, newPage: async () => page });
    const kill = () => {
      lives = false;
      browser.emit('disconnected');
    };
    const opened = { browser, kill } as unknown as OpenBrowser;
    const work = inOwnPage(opened, new PageOpens(OPENS_MS), () => Promise.reject(error));
    const caught = await work.catch((thrown) => thrown);
    // works follow each other for a whole night
    expect(browser.listenerCount('disconnected') + page.listenerCount('error')).toBe(0);
    return { error: caught, lives };
  }

  it.each([
    new TimeoutError('Navigation timeout of 30000 ms exceeded'),
    new ProtocolError("Page.printToPDF timed out. Increase the 'protocolTimeout' setting"),
  ])('is a loss to be tried again where the page was silent: $message', async (silence) => {
    expect(await endOf(silence)).toMatchObject({
      error: { name: 'TracerLost', reason: 'page-silent' },
      lives: false,
    });
  });

  it('is its own error otherwise, and the browser goes on', async () => {
    const error = new Error('a width of nothing');
    expect(await endOf(error)).toEqual({ error, lives: true });
  });
});
