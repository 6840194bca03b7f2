/**
 * The server between `bandwright look` and its pages: loopback only, at a random port. Who may ask is decided in
 * `gate.ts`, what is answered in `answers.ts`.
 */
import { createServer, type Server, type ServerResponse } from 'node:http';
import type { AddressInfo } from 'node:net';
import { type Answer, Answers, type Hands, refused } from './answers.ts';
import { newToken, refusedAs, securityHeaders } from './gate.ts';
import type { PageFiles } from './page-files.ts';
import { PageStreams } from './page-streams.ts';
import type { LookSession } from './session.ts';

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
  hands?: Hands;
  /** 0 for any that is free */
  port: number;
}

/** @throws Error if the port is taken */
export async function openLookServer({ session, files, hands, port }: ServerOptions): Promise<LookServer> {
  const token = newToken();
  const headers = securityHeaders(files.style);
  const streams = new PageStreams(session, hands?.proofs);
  const answers = new Answers(session, files, hands);

  const http = createServer((request, response) => {
    // the raw path: nothing is decoded or normalised, so it either is one of ours or is refused
    const [pathname, search] = (request.url ?? '/').split('?', 2);
    const [, given = '', ...path] = pathname.split('/');
    const what = path.join('/');
    const status = refusedAs(request, given, token, originOf(http));
    const send = (answer: Answer) => sendAnswer(response, answer, headers, request.method);
    if (status) return send(refused(status));
    if (request.method === 'GET' && what === 'events') return streams.add(response, headers);
    return answers.to(request, what, new URLSearchParams(search)).then(send);
  });
  await new Promise<void>((resolve, reject) => {
    http.once('error', reject);
    http.listen(port, '127.0.0.1', resolve);
  });
  return {
    url: `${originOf(http)}/${token}/`,
    pages: () => streams.count,
    close: async () => {
      streams.close();
      const closed = new Promise<void>((resolve) => http.close(() => resolve()));
      http.closeAllConnections();
      await closed;
    },
  };
}

const originOf = (http: Server) => `http://127.0.0.1:${(http.address() as AddressInfo).port}`;

function sendAnswer(
  response: ServerResponse,
  { status = 200, type, body, headers: own }: Answer,
  headers: Record<string, string>,
  method: string | undefined,
): void {
  // what is left of a refused body must not be read as the next request
  if (status >= 400 && method === 'POST') response.shouldKeepAlive = false;
  response.writeHead(status, {
    ...headers,
    ...own,
    'Content-Type': type,
    // RFC 9110, 8.6: none with 204
    ...(status !== 204 && { 'Content-Length': Buffer.byteLength(body) }),
  });
  response.end(body);
}
