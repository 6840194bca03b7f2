import { request } from 'node:http';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type LookServer, openLookServer } from '../../pipeline/look/server.ts';
import { type Looked, lookAt, PLAIN } from './look-config.ts';

let looked: Looked;
let server: LookServer;
let port: number;
let token: string;

beforeAll(async () => {
  looked = await lookAt(PLAIN);
  const files = {
    page: 'page',
    worker: 'worker',
    style: '',
    kernel: new Uint8Array(4),
    filter: new Uint8Array(4),
  };
  const edit = async () => ({ done: true as const });
  server = await openLookServer({ session: looked.session, files, hands: { edit }, port: 0 });
  const url = new URL(server.url);
  port = Number(url.port);
  token = url.pathname.split('/')[1];
});

afterAll(async () => {
  await server.close();
  await looked.close();
});

/** The status of a request as any program could send it, paths as they are. */
function ask(path: string, headers: Record<string, string> = {}, method = 'GET', body = ''): Promise<number> {
  return new Promise((resolve, reject) => {
    const sent = request({ host: '127.0.0.1', port, path, method, headers }, (answer) => {
      answer.resume();
      resolve(answer.statusCode ?? 0);
    });
    sent.on('error', reject);
    sent.end(body);
  });
}

describe('the server of the live view', () => {
  it('listens on the loopback alone, at a path nobody can guess', () => {
    expect(new URL(server.url).hostname).toBe('127.0.0.1');
    expect(token).toMatch(/^[0-9a-f]{48}$/);
  });

  it('answers its page and nothing without the token', async () => {
    expect(await ask(`/${token}/`)).toBe(200);
    expect(await ask(`/${token}/look.js`)).toBe(200);
    expect(await ask('/')).toBe(404);
    expect(await ask(`/${'0'.repeat(48)}/`)).toBe(404);
    expect(await ask(`/${token.slice(1)}/look.js`)).toBe(404);
  });

  it('serves no file, however it is asked for', async () => {
    const ways = [
      'config.yaml',
      '../../etc/passwd',
      '%2e%2e/%2e%2e/etc/passwd',
      '/etc/passwd',
      'solids/../x',
      'sky/x',
    ];
    for (const way of ways) expect(await ask(`/${token}/${way}`), way).toBe(404);
  });

  it('has nothing for what is not there to choose, and no error that a browser would note', async () => {
    for (const way of ['solids/gone', 'solids/gone?draft', 'band?sku=gone', 'view?sku=gone&shot=gone'])
      expect(await ask(`/${token}/${way}`), way).toBe(204);
  });

  it('refuses other hosts, origins and sites (W3C Fetch Metadata)', async () => {
    const path = `/${token}/`;
    expect(await ask(path, { host: `localhost:${port}` })).toBe(403);
    expect(await ask(path, { host: 'rebound.example' })).toBe(403);
    expect(await ask(path, { origin: 'https://elsewhere.example' })).toBe(403);
    expect(await ask(path, { origin: 'null' })).toBe(403);
    expect(await ask(path, { 'sec-fetch-site': 'cross-site' })).toBe(403);
    expect(await ask(path, { 'sec-fetch-site': 'none' })).toBe(200);
  });

  it('takes edits of its own pages only, and of a bearable size', async () => {
    const path = `/${token}/edit`;
    const own = { origin: `http://127.0.0.1:${port}` };
    expect(await ask(path, own, 'POST', '{}')).toBe(200);
    expect(await ask(path, {}, 'POST', '{}')).toBe(403);
    expect(await ask(path, { origin: 'https://elsewhere.example' }, 'POST', '{}')).toBe(403);
    expect(await ask(path, own, 'POST', 'no json')).toBe(400);
    expect(await ask(path, own, 'POST', 'x'.repeat(100_000))).toBe(413);
    expect(await ask(path, own, 'PUT', '{}')).toBe(405);
    expect(await ask(`/${token}/view`, own, 'POST', '{}')).toBe(405);
  });
});
