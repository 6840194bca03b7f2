/**
 * One take from its order to its films, over HTTP with the Node that wants it: the same in a browser's page and in a process
 * of Node with a graphics card. Who traces is a crew.
 */
import { PIECE, piecesOf, resumeFilm } from '../checkpoint.ts';
import { FEATURE_PLANES, featurePlane, spreadRows } from '../film-guide.ts';
import { type FilmState, filmState, meanTileRows, TILE } from '../film-state.ts';
import { type Crew, traceTake } from '../film-take.ts';
import { FEATURES } from '../kernel/layout.ts';
import { PassShare } from '../pass-share.ts';
import type { TraceProgress } from '../tracer.ts';
import { collectGarbage } from './garbage.ts';
import type { TakeOrder } from './orders.ts';

export interface TakeCrew extends Crew {
  /** brings the film to its block, where it lies elsewhere while it is traced */
  bring?(): Promise<void>;
  /** features of the whole frame; the film's sums may be used for them */
  look(film: FilmState): Promise<Float32Array>;
  /** gives back what it holds; a page's crew goes with the page */
  dismiss?(): void;
}

/** The take's address, at which its order lies and where its films go. */
export class TakePlace {
  readonly url: URL;

  constructor(url: URL) {
    this.url = url;
  }

  async get(name: string): Promise<Response> {
    const response = await fetch(new URL(name, this.url));
    if (!response.ok) throw new Error(`${name}: HTTP ${response.status}`);
    return response;
  }

  async order(): Promise<TakeOrder> {
    return (await this.get('order')).json() as Promise<TakeOrder>;
  }

  async kernel(): Promise<WebAssembly.Module> {
    return WebAssembly.compileStreaming(await this.get('../../kernel.wasm'));
  }

  async send(name: string, body: string | Blob): Promise<void> {
    const response = await fetch(new URL(name, this.url), { method: 'POST', body });
    if (!response.ok) throw new Error(`${name}: HTTP ${response.status}`);
  }

  /**
   * Sends bytes as a blob, because Chromium uploads those four times as fast as array buffers. The browser's process holds a
   * blob until the page's garbage collector finds it, which left to itself comes too late: sixteen films of 1600² pixels
   * stood there all at once, half a gigabyte.
   */
  async sendBytes(name: string, bytes: BlobPart): Promise<void> {
    await this.send(name, new Blob([bytes]));
    await collectGarbage();
  }
}

/** Progress is dropped, not queued, while an earlier report is on its way. */
function reporter(place: TakePlace): (progress: TraceProgress) => void {
  let busy = false;
  return (progress) => {
    if (busy) return;
    busy = true;
    place
      .send('progress', JSON.stringify(progress))
      .catch(() => {})
      .finally(() => {
        busy = false;
      });
  };
}

/** The film as Node has kept it, or a fresh one. */
async function openFilm(place: TakePlace, order: TakeOrder): Promise<FilmState> {
  if (!order.resume) return filmState(order);
  const { body } = await place.get('checkpoint');
  const reader = body?.getReader();
  const pieces = async function* () {
    for (let next = await reader?.read(); next?.value; next = await reader?.read()) yield next.value;
  };
  // A checkpoint that breaks off on its way costs time and nothing else.
  const film = await resumeFilm(order, pieces(), order.passCap).catch(() => undefined);
  return film ?? filmState(order);
}

/** Sends the film as it is; pieces go one after the other, so that only one is held twice. */
async function save(place: TakePlace, film: FilmState): Promise<void> {
  let at = 0;
  for (const piece of piecesOf(film)) {
    await place.sendBytes(`checkpoint/${at}`, piece);
    at += piece.length;
  }
}

/** Develops and sends a plane piece by piece. */
async function handOver(
  place: TakePlace,
  film: FilmState,
  plane: number,
  develop: (from: number, to: number) => Float32Array<ArrayBuffer>,
): Promise<void> {
  const rows = Math.max(1, Math.floor(PIECE / (film.width * TILE * 12)));
  let at = 0;
  for (let from = 0; from < film.tilesY; from += rows) {
    const part = develop(from, Math.min(from + rows, film.tilesY));
    await place.sendBytes(`film/${plane}/${at}`, part);
    at += part.byteLength;
  }
}

/** Sends what the film filter needs, the spread last. The film's sums are gone then. */
async function handOverGuide(
  place: TakePlace,
  order: TakeOrder,
  film: FilmState,
  crew: TakeCrew,
): Promise<void> {
  const spread = spreadRows(film, order.colours, 0, film.tilesY);
  const { width } = film;
  const features = await crew.look(film);
  const rows = (from: number, to: number) =>
    features.subarray(from * TILE * width * FEATURES, Math.min(to * TILE, film.height) * width * FEATURES);
  for (let plane = 0; plane < FEATURE_PLANES; plane++)
    await handOver(place, film, order.colourways + plane, (from, to) => featurePlane(rows(from, to), plane));
  await handOver(place, film, order.colourways + FEATURE_PLANES, (from, to) =>
    spread.slice(from * TILE * width * 3, Math.min(to * TILE, film.height) * width * 3),
  );
}

/** @param engage gathers who traces, once the film lies ready */
export async function runTake(
  place: TakePlace,
  engage: (order: TakeOrder, film: FilmState, share: PassShare) => Promise<TakeCrew>,
  shareOf: (film: FilmState) => PassShare = (film) => new PassShare(film),
): Promise<void> {
  const order = await place.order();
  const film = await openFilm(place, order);
  const share = shareOf(film);
  const crew = await engage(order, film, share);
  try {
    await trace(place, order, film, share, crew);
  } finally {
    crew.dismiss?.();
  }
}

async function trace(
  place: TakePlace,
  order: TakeOrder,
  film: FilmState,
  share: PassShare,
  crew: TakeCrew,
): Promise<void> {
  const checkpoint = order.checkpointEvery
    ? {
        every: order.checkpointEvery,
        save: async () => {
          await crew.bring?.();
          await save(place, film);
        },
      }
    : undefined;
  const end = await traceTake(film, share, crew, { ...order, checkpoint, onProgress: reporter(place) });
  await crew.bring?.();
  for (let c = 0; c < order.colourways; c++)
    await handOver(place, film, c, (from, to) => meanTileRows(film, c, from, to));
  if (order.guide) await handOverGuide(place, order, film, crew);
  await place.send('done', JSON.stringify(end));
}
