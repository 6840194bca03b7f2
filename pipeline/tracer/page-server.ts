/**
 * The little HTTP server between Node and its pages: loopback only, a random port, and a random token at the head
 * of every path, so that no other program or web page can read a scene or push a film. It serves the files it was
 * given and nothing else; no path ever reaches the file system.
 *
 * The opener and embedder policies make pages "cross-origin isolated", without which browsers withhold
 * SharedArrayBuffer (HTML Standard, section "Cross-origin isolation").
 */
import { createHash, randomBytes } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import { createServer, type IncomingMessage, type Server, type ServerResponse } from 'node:http';
import type { AddressInfo } from 'node:net';
import { pipeline } from 'node:stream/promises';
import { type FilmPieces, PIECE } from './checkpoint.ts';
import { GUIDE_PLANES } from './film-guide.ts';
import { keptBytes } from './film-state.ts';
import type { CardNews, TakeOrder } from './page/orders.ts';
import type { TraceProgress } from './tracer.ts';

/**
 * What a page says about its take. Films come before `done`. Films and checkpoints come in pieces, in order, and the page
 * waits until each is taken; a piece's memory serves the next one too.
 */
export interface TakeEvents {
  progress(progress: TraceProgress): void;
  /** the bytes of a film from `at` on */
  film(plane: number, at: number, piece: Uint8Array): Promise<void>;
  /** the bytes of a checkpoint from `at` on; from 0 on another begins */
  checkpoint(at: number, piece: Uint8Array): Promise<void>;
  card(news: CardNews): void;
  done(end: TraceProgress): void;
  failed(why: string): void;
}

interface OpenTake {
  order: TakeOrder;
  scene: Uint8Array;
  events: TakeEvents;
  /** the checkpoint that an order with `resume` speaks of */
  kept?: FilmPieces;
  piece: Uint8Array<ArrayBuffer>;
}

export interface BuiltFiles {
  kernel: string;
  page: string;
  worker: string;
  /** the worker of a graphics card; without it no take can be a card's */
  card?: string;
}

interface Answer {
  type: string;
  body: Uint8Array | string | FilmPieces;
}

const HEADERS = {
  'Cross-Origin-Opener-Policy': 'same-origin',
  'Cross-Origin-Embedder-Policy': 'require-corp',
  'Cross-Origin-Resource-Policy': 'same-origin',
  'Content-Security-Policy':
    "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; worker-src 'self'; connect-src 'self'",
  'X-Content-Type-Options': 'nosniff',
  'Cache-Control': 'no-store',
};
const JSON_LIMIT = 64 * 1024;
const PAGE = '<!doctype html><meta charset="utf-8"><title>Bandwright</title>';
const SCRIPT = 'text/javascript';

class Refusal extends Error {
  readonly status: number;
  constructor(status: number) {
    super(`HTTP ${status}`);
    this.status = status;
  }
}

export class PageServer {
  /** Reads the built files once. */
  static async open(files: BuiltFiles): Promise<PageServer> {
    const [kernel, page, worker] = await Promise.all(
      [files.kernel, files.page, files.worker].map((f) => readFile(f)),
    );
    const card = files.card === undefined ? undefined : { type: SCRIPT, body: await readFile(files.card) };
    const served = new Map<string, Answer>([
      ['', { type: 'text/html', body: PAGE }],
      ['kernel.wasm', { type: 'application/wasm', body: kernel }],
      ['page.js', { type: SCRIPT, body: page }],
      ['worker.js', { type: SCRIPT, body: worker }],
    ]);
    const server = new PageServer(served, card);
    await new Promise<void>((resolve, reject) => {
      server.http.once('error', reject);
      server.http.listen(0, '127.0.0.1', resolve);
    });
    return server;
  }

  /** hash of all that is served, the card's worker left out: of the code that traces */
  readonly engine: string;
  /** the same with the card's worker; undefined where it was not built */
  readonly cardEngine: string | undefined;
  private readonly http: Server;
  private readonly served: Map<string, Answer>;
  private readonly card: Answer | undefined;
  private readonly token = randomBytes(24).toString('hex');
  private readonly takes = new Map<string, OpenTake>();
  private count = 0;

  private constructor(served: Map<string, Answer>, card: Answer | undefined) {
    this.served = served;
    this.card = card;
    const hash = createHash('sha256');
    for (const { body } of served.values()) hash.update(body as Uint8Array | string);
    this.engine = hash.copy().digest('hex');
    this.cardEngine = card && hash.update(card.body as Uint8Array).digest('hex');
    this.http = createServer((request, response) => {
      this.answer(request).then(
        (answer) => reply(response, 200, answer),
        (error) => {
          // What is left of a refused body must not be read as the next request.
          response.shouldKeepAlive = false;
          reply(response, error instanceof Refusal ? error.status : 500, { type: 'text/plain', body: '' });
        },
      );
    });
  }

  /** Address of a blank page, isolated like a take's. */
  get blank(): string {
    const { port } = this.http.address() as AddressInfo;
    return `http://127.0.0.1:${port}/${this.token}/`;
  }

  /** Address of the page that does this take; `end` forgets it. */
  openTake(
    order: TakeOrder,
    scene: Uint8Array,
    events: TakeEvents,
    kept?: FilmPieces,
  ): { url: string; end(): void } {
    const id = String(++this.count);
    this.takes.set(id, { order, scene, events, kept, piece: new Uint8Array(PIECE) });
    return { url: `${this.blank}take/${id}/`, end: () => this.takes.delete(id) };
  }

  async close(): Promise<void> {
    const closed = new Promise<void>((resolve) => this.http.close(() => resolve()));
    this.http.closeAllConnections();
    await closed;
  }

  private async answer(request: IncomingMessage): Promise<Answer> {
    // The raw path: nothing is decoded or normalised, so it either is one of ours or is refused.
    const [, token, ...rest] = (request.url ?? '').split('/');
    const { port } = this.http.address() as AddressInfo;
    if (token !== this.token || request.headers.host !== `127.0.0.1:${port}`) throw new Refusal(404);
    if (rest[0] === 'take') {
      const take = this.takes.get(rest[1] ?? '');
      if (!take) throw new Refusal(404);
      return request.method === 'POST'
        ? hear(take, rest.slice(2), request)
        : this.show(take, rest.slice(2), request);
    }
    const file = this.served.get(rest.join('/'));
    if (!file) throw new Refusal(404);
    if (request.method !== 'GET') throw new Refusal(405);
    return file;
  }

  private show(take: OpenTake, path: string[], request: IncomingMessage): Answer {
    if (request.method !== 'GET') throw new Refusal(405);
    // a page loads its workers from beside its own script: that of a card's take lies beside the card's worker
    const { card } = take.order;
    switch (path.join('/')) {
      case '':
        return {
          type: 'text/html',
          body: `${PAGE}<script type="module" src="${card ? '' : '../../'}page.js"></script>`,
        };
      case 'page.js':
        if (!card) throw new Refusal(404);
        return this.served.get('page.js') as Answer;
      case 'worker.js':
        if (!card || !this.card) throw new Refusal(404);
        return this.card;
      case 'order':
        return { type: 'application/json', body: JSON.stringify(take.order) };
      case 'scene':
        return { type: 'application/octet-stream', body: take.scene };
      case 'checkpoint':
        if (!take.kept) throw new Refusal(404);
        return { type: 'application/octet-stream', body: take.kept };
      default:
        throw new Refusal(404);
    }
  }
}

async function hear(take: OpenTake, path: string[], request: IncomingMessage): Promise<Answer> {
  const { order, events } = take;
  const [what, ...numbers] = path;
  if (what === 'film') {
    const [plane, at] = numerals(numbers, 2);
    if (plane >= order.colourways + (order.guide ? GUIDE_PLANES : 0)) throw new Refusal(404);
    await events.film(plane, at, await piece(take, at, order.width * order.height * 12, request));
  } else if (what === 'checkpoint' && order.checkpointEvery) {
    const [at] = numerals(numbers, 1);
    await events.checkpoint(at, await piece(take, at, keptBytes(order), request));
  } else {
    const said = JSON.parse(Buffer.from(await receive(request, new Uint8Array(JSON_LIMIT))).toString('utf8'));
    if (what === 'progress') events.progress(progressFrom(said));
    else if (what === 'done') events.done(progressFrom(said));
    else if (what === 'failed') events.failed(String(said.why));
    else if (what === 'card' && order.card) events.card(said);
    else throw new Refusal(404);
  }
  return { type: 'text/plain', body: '' };
}

function numerals(path: string[], count: number): number[] {
  if (path.length !== count || !path.every((n) => /^\d{1,15}$/.test(n))) throw new Refusal(404);
  return path.map(Number);
}

/** A piece of something of `bytes`, from `at` on. */
async function piece(
  take: OpenTake,
  at: number,
  bytes: number,
  request: IncomingMessage,
): Promise<Uint8Array> {
  const body = await receive(request, take.piece);
  if (at + body.length > bytes) throw new Refusal(413);
  return body;
}

/** JSON has no infinity; before the first pass is judged the errors are infinite. */
function progressFrom(said: TraceProgress): TraceProgress {
  return {
    ...said,
    worst: said.worst ?? Number.POSITIVE_INFINITY,
    error: said.error ?? Number.POSITIVE_INFINITY,
  };
}

/** The body, laid into `room`, or a refusal as soon as it does not fit. */
async function receive(request: IncomingMessage, room: Uint8Array<ArrayBuffer>): Promise<Uint8Array> {
  const length = Number(request.headers['content-length']);
  if (!(length <= room.length)) throw new Refusal(413);
  let at = 0;
  for await (const chunk of request) {
    if (at + chunk.length > length) throw new Refusal(413);
    room.set(chunk, at);
    at += chunk.length;
  }
  if (at !== length) throw new Refusal(400);
  return room.subarray(0, length);
}

function reply(response: ServerResponse, status: number, { type, body }: Answer): void {
  const whole = typeof body === 'string' || body instanceof Uint8Array;
  const length = whole ? Buffer.byteLength(body) : body.bytes;
  response.writeHead(status, { ...HEADERS, 'Content-Type': type, 'Content-Length': length });
  if (whole) response.end(body);
  // A source that breaks off ends the connection, and the page sees a body cut short.
  else pipeline(body, response).catch(() => response.destroy());
}
