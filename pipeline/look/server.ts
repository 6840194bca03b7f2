/**
 * The server between `bandwright look` and its pages: loopback only, a random port, a random token at the head of every
 * path, and only requests that a page of its own (or the address bar) makes. It serves what is named below and nothing
 * else; no path ever reaches the file system.
 *
 * The opener and embedder policies make pages "cross-origin isolated", without which browsers withhold
 * SharedArrayBuffer (HTML Standard, section "Cross-origin isolation").
 */

import { randomBytes, timingSafeEqual } from 'node:crypto';
import { createServer, type IncomingMessage, type ServerResponse } from 'node:http';
import type { AddressInfo } from 'node:net';
import type { ShapeKey } from '../plan/plan.ts';
import { ProblemError } from '../problem.ts';
import { encodeBlob } from '../tracer/scene-blob.ts';
import { hashOf } from '../words/html.ts';
import type { EditAnswer, EditRequest, LookState } from './contract.ts';
import { lookPage } from './page.ts';
import type { PageFiles } from './page-files.ts';
import type { LookSession } from './session.ts';
import { Overtaken } from './solids-bench.ts';

export interface LookServer {
  /** with the token in it */
  url: string;
  /** how many pages are open */
  pages(): number;
  close(): Promise<void>;
}

export interface ServerOptions {
  session: LookSession;
  files: PageFiles;
  /** none where pages may only look */
  edit?: (request: EditRequest) => Promise<EditAnswer>;
  /** 0 for any that is free */
  port: number;
}

interface Answer {
  status?: number;
  type: string;
  body: Uint8Array | string;
  headers?: Record<string, string>;
}

/** Bytes of an edit: a field's text, and the files it was meant for. */
const MOST_EDIT = 64 * 1024;
/** ms after the last page is closed until solids and threads are let go: a page that is loaded again comes back sooner. */
const REST_AFTER = 5000;

const JSON_TYPE = 'application/json';
const REFUSED: Record<number, Answer> = Object.fromEntries(
  [400, 403, 404, 405, 409, 413].map((status) => [status, { status, type: 'text/plain', body: '' }]),
);

/** @throws Error if the port is taken */
export async function openLookServer({ session, files, edit, port }: ServerOptions): Promise<LookServer> {
  const token = randomBytes(24).toString('hex');
  const streams = new Set<ServerResponse>();
  let resting: NodeJS.Timeout | undefined;

  const html = () => lookPage(session.state, files.style);
  const policy = [
    "default-src 'none'",
    "script-src 'self' 'wasm-unsafe-eval'",
    "worker-src 'self'",
    "connect-src 'self'",
    "img-src 'self' data: blob:",
    `style-src '${hashOf(files.style)}'`,
    "base-uri 'none'",
    "form-action 'none'",
    "frame-ancestors 'none'",
  ].join('; ');
  const headers = {
    'Cross-Origin-Opener-Policy': 'same-origin',
    'Cross-Origin-Embedder-Policy': 'require-corp',
    'Cross-Origin-Resource-Policy': 'same-origin',
    'Content-Security-Policy': policy,
    'X-Content-Type-Options': 'nosniff',
    // the token must not be told to anybody
    'Referrer-Policy': 'no-referrer',
    'Cache-Control': 'no-store',
  };

  async function answer(request: IncomingMessage, what: string, query: URLSearchParams): Promise<Answer> {
    if (request.method === 'POST') return what === 'edit' && edit ? hearEdit(request, edit) : REFUSED[405];
    if (request.method !== 'GET') return REFUSED[405];
    const [name, rest, ...more] = what.split('/');
    if (more.length > 0 || (rest !== undefined && name !== 'solids' && name !== 'sky')) return REFUSED[404];
    switch (name) {
      case '':
        return { type: 'text/html; charset=utf-8', body: html() };
      case 'look.js':
        return { type: 'text/javascript', body: files.page };
      case 'worker.js':
        return { type: 'text/javascript', body: files.worker };
      case 'kernel.wasm':
        return { type: 'application/wasm', body: files.kernel };
      case 'view':
        return json(await session.view(choiceFrom(query)));
      case 'band':
        return json(await session.band(query.get('sku') ?? ''));
      case 'solids':
        return solids(rest ?? '', query.has('draft'));
      case 'sky':
        return sky(rest ?? '');
      default:
        return REFUSED[404];
    }
  }

  async function solids(key: string, draft: boolean): Promise<Answer> {
    const made = await session.solids(key as ShapeKey, draft);
    if (!made) return REFUSED[404];
    const { blob, whole } = made;
    return { type: 'application/octet-stream', body: blob, headers: { 'X-Whole': whole ? '1' : '0' } };
  }

  async function sky(hash: string): Promise<Answer> {
    const map = await session.sky(hash);
    return map ? { type: 'application/octet-stream', body: encodeBlob(map, 'sky') } : REFUSED[404];
  }

  /** Keeps a page told of every state, from now on. */
  function stream(response: ServerResponse): void {
    clearTimeout(resting);
    session.warm();
    response.writeHead(200, { ...headers, 'Content-Type': 'text/event-stream' });
    const tell = (state: LookState) => response.write(`data: ${JSON.stringify(state)}\n\n`);
    tell(session.state);
    const forget = session.onChange(tell);
    streams.add(response);
    response.on('close', () => {
      forget();
      streams.delete(response);
      if (streams.size > 0) return;
      resting = setTimeout(() => session.rest(), REST_AFTER);
      resting.unref();
    });
  }

  const http = createServer((request, response) => {
    const { port: open } = http.address() as AddressInfo;
    const origin = `http://127.0.0.1:${open}`;
    // the raw path: nothing is decoded or normalised, so it either is one of ours or is refused
    const [pathname, search] = (request.url ?? '/').split('?', 2);
    const [, given = '', ...path] = pathname.split('/');
    const refused = refusal(request, given, token, origin);
    if (!refused && request.method === 'GET' && path.join('/') === 'events') return stream(response);
    const asked = refused
      ? Promise.resolve(refused)
      : answer(request, path.join('/'), new URLSearchParams(search));
    return asked.catch(mishap).then(({ status = 200, type, body, headers: own }) => {
      // what is left of a refused body must not be read as the next request
      if (status >= 400 && request.method === 'POST') response.shouldKeepAlive = false;
      response.writeHead(status, {
        ...headers,
        ...own,
        'Content-Type': type,
        'Content-Length': Buffer.byteLength(body),
      });
      response.end(body);
    });
  });
  await new Promise<void>((resolve, reject) => {
    http.once('error', reject);
    http.listen(port, '127.0.0.1', resolve);
  });
  return {
    url: `http://127.0.0.1:${(http.address() as AddressInfo).port}/${token}/`,
    pages: () => streams.size,
    close: async () => {
      clearTimeout(resting);
      const closed = new Promise<void>((resolve) => http.close(() => resolve()));
      http.closeAllConnections();
      await closed;
    },
  };
}

/** Another program's or another site's request. */
function refusal(
  { headers, method }: IncomingMessage,
  given: string,
  token: string,
  origin: string,
): Answer | undefined {
  const bytes = Buffer.from(given);
  if (bytes.length !== token.length || !timingSafeEqual(bytes, Buffer.from(token))) return REFUSED[404];
  // a name that leads here (DNS rebinding) is not this address
  if (headers.host !== new URL(origin).host) return REFUSED[403];
  if (headers.origin !== undefined && headers.origin !== origin) return REFUSED[403];
  if (method === 'POST' && headers.origin !== origin) return REFUSED[403];
  const site = headers['sec-fetch-site'];
  return site === undefined || site === 'same-origin' || site === 'none' ? undefined : REFUSED[403];
}

function choiceFrom(query: URLSearchParams) {
  const studio = query.get('studio');
  return {
    sku: query.get('sku') ?? '',
    shot: query.get('shot') ?? '',
    ...(studio ? { studio } : {}),
  };
}

function json(value: unknown): Answer {
  return value === undefined ? REFUSED[404] : { type: JSON_TYPE, body: JSON.stringify(value) };
}

/** What a reader can mend is told with its problems, what was overtaken is asked for again. */
function mishap(error: unknown): Answer {
  if (error instanceof ProblemError)
    return { status: 422, type: JSON_TYPE, body: JSON.stringify({ problems: error.problems }) };
  if (error instanceof Overtaken) return REFUSED[409];
  return { status: 500, type: 'text/plain', body: error instanceof Error ? error.message : String(error) };
}

async function hearEdit(request: IncomingMessage, edit: NonNullable<ServerOptions['edit']>): Promise<Answer> {
  const parts: Buffer[] = [];
  let size = 0;
  for await (const part of request) {
    size += part.length;
    if (size > MOST_EDIT) return REFUSED[413];
    parts.push(part);
  }
  let said: EditRequest;
  try {
    said = JSON.parse(Buffer.concat(parts).toString('utf8'));
  } catch {
    return REFUSED[400];
  }
  return json(await edit(said));
}
