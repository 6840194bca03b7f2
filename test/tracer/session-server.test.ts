import { rmSync } from 'node:fs';
import { request } from 'node:http';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { PIECE } from '../../pipeline/tracer/checkpoint.ts';
import { keptBytes } from '../../pipeline/tracer/film-state.ts';
import { PageServer } from '../../pipeline/tracer/page-server.ts';
import type { TraceProgress } from '../../pipeline/tracer/tracer.ts';
import { fakeFiles } from './fake-files.ts';

const order = {
  width: 8,
  height: 4,
  colourways: 2,
  colours: 1,
  guide: false,
  filtered: false,
  seed: 1,
  noiseTarget: 0.02,
  passCap: 100,
  workers: 1,
  every: 250,
  resume: true,
  checkpointEvery: 20,
};
const scene = new Uint8Array([1, 2, 3, 4]);

let files: Awaited<ReturnType<typeof fakeFiles>>;
let server: PageServer;
let base: URL;
let take: ReturnType<PageServer['openTake']>;
const heard: unknown[] = [];

beforeAll(async () => {
  files = await fakeFiles();
  server = await PageServer.open(files);
  base = new URL(server.blank);
  take = server.openTake(order, scene, {
    progress: (p) => heard.push(['progress', p]),
    film: async (c, at, piece) => {
      heard.push(['film', c, at, [...piece]]);
    },
    checkpoint: async (at, piece) => {
      heard.push(['checkpoint', at, piece.length]);
    },
    card: (news) => heard.push(['card', news]),
    done: (end) => heard.push(['done', end]),
    failed: (why) => heard.push(['failed', why]),
  });
});

afterAll(async () => {
  await server.close();
  rmSync(files.folder, { recursive: true });
});

/** A request with the path exactly as given: `fetch` would tidy it up first. */
function ask(
  path: string,
  options: { method?: string; body?: Uint8Array | string; headers?: Record<string, string> } = {},
): Promise<{ status: number; headers: Record<string, unknown>; body: Buffer }> {
  return new Promise((resolve, reject) => {
    const { method = 'GET', body, headers } = options;
    const req = request({ host: base.hostname, port: base.port, path, method, headers }, (response) => {
      const parts: Buffer[] = [];
      response.on('data', (part) => parts.push(part));
      response.on('end', () =>
        resolve({ status: response.statusCode!, headers: response.headers, body: Buffer.concat(parts) }),
      );
    });
    req.once('error', reject);
    req.end(body);
  });
}

const takePath = () => new URL(take.url).pathname;

test('listens on loopback only, with an unguessable path', () => {
  expect(base.hostname).toBe('127.0.0.1');
  // 192 random bits.
  expect(base.pathname).toMatch(/^\/[0-9a-f]{48}\/$/);
});

test('serves its own files, isolated from everything else', async () => {
  for (const [name, type] of [
    ['', 'text/html'],
    ['page.js', 'text/javascript'],
    ['worker.js', 'text/javascript'],
    ['kernel.wasm', 'application/wasm'],
  ]) {
    const { status, headers } = await ask(base.pathname + name);
    expect(status).toBe(200);
    expect(headers['content-type']).toBe(type);
    // What the HTML Standard asks of a cross-origin isolated page.
    expect(headers['cross-origin-opener-policy']).toBe('same-origin');
    expect(headers['cross-origin-embedder-policy']).toBe('require-corp');
  }
  expect((await ask(`${takePath()}scene`)).body.equals(scene)).toBe(true);
  expect(JSON.parse((await ask(`${takePath()}order`)).body.toString())).toEqual(order);
});

describe('refuses', () => {
  test.each([
    ['no token', () => '/'],
    ['a wrong token', () => `/${'0'.repeat(48)}/page.js`],
    ['a token cut short', () => `${base.pathname.slice(0, -2)}/page.js`],
    ['a way up', () => `${base.pathname}../../../etc/passwd`],
    ['an encoded way up', () => `${base.pathname}%2e%2e%2f%2e%2e%2fetc%2fpasswd`],
    ['an absolute path', () => `${base.pathname}/etc/passwd`],
    ['a way through a take', () => `${takePath()}../../page.js`],
    ['an unknown take', () => `${base.pathname}take/99/scene`],
    ['a name every object has', () => `${base.pathname}constructor`],
  ])('%s', async (_name, path) => {
    const { status, body } = await ask(path());
    expect(status).toBe(404);
    expect(body.length).toBe(0);
  });

  test('another host name, as in DNS rebinding', async () => {
    expect((await ask(base.pathname, { headers: { host: 'example.test' } })).status).toBe(404);
  });

  test('methods that make no sense', async () => {
    expect((await ask(`${base.pathname}page.js`, { method: 'POST', body: 'x' })).status).toBe(405);
    expect((await ask(`${takePath()}scene`, { method: 'DELETE' })).status).toBe(405);
  });

  test('films of a wrong size or colourway, and endless messages', async () => {
    const bytes = order.width * order.height * 12;
    const post = (name: string, body: Uint8Array) => ask(takePath() + name, { method: 'POST', body });
    expect((await post('film/0/0', new Uint8Array(bytes + 1))).status).toBe(413);
    expect((await post('film/0/4', new Uint8Array(bytes))).status).toBe(413);
    for (const c of ['2/0', '-1/0', '', '0', '0/', '1.5/0', '0/-1', '0/0/0']) {
      expect((await post(`film/${c}`, new Uint8Array(bytes))).status).toBe(404);
    }
    expect((await post('failed', new Uint8Array(70_000))).status).toBe(413);
    expect((await post(`checkpoint/${keptBytes(order)}`, new Uint8Array(1))).status).toBe(413);
    expect((await post('checkpoint/0', new Uint8Array(PIECE + 1))).status).toBe(413);
    for (const at of ['-1', '', '1.5', '0/0']) {
      expect((await post(`checkpoint/${at}`, new Uint8Array(1))).status).toBe(404);
    }
    // the take has none to go on from
    expect((await ask(`${takePath()}checkpoint`)).status).toBe(404);
    const chunked = { 'transfer-encoding': 'chunked' };
    expect((await ask(`${takePath()}done`, { method: 'POST', headers: chunked, body: '{}' })).status).toBe(
      413,
    );
    expect(heard).toEqual([]);
  });
});

test('passes on what a page says; a take that ended is heard no more', async () => {
  const end: TraceProgress = { passes: 3, open: 0, worst: 0, error: 0.01, paths: 96, seconds: 1 };
  const post = (name: string, body: Uint8Array | string) => ask(takePath() + name, { method: 'POST', body });
  expect((await post('progress', JSON.stringify({ ...end, worst: Infinity, error: Infinity }))).status).toBe(
    200,
  );
  expect((await post('film/1/8', new Uint8Array([1, 2, 3]))).status).toBe(200);
  expect((await post('checkpoint/7', new Uint8Array(3))).status).toBe(200);
  expect((await post('done', JSON.stringify(end))).status).toBe(200);
  expect((await post('failed', '{"why":"tired"}')).status).toBe(200);
  expect(heard).toEqual([
    ['progress', { ...end, worst: Infinity, error: Infinity }],
    ['film', 1, 8, [1, 2, 3]],
    ['checkpoint', 7, 3],
    ['done', end],
    ['failed', 'tired'],
  ]);
  take.end();
  expect((await post('done', JSON.stringify(end))).status).toBe(404);
  expect(heard.length).toBe(5);
});
