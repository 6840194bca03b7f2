/** What pages may ask for, by its name: nothing else is served, and no path ever reaches the file system. */
import type { IncomingMessage } from 'node:http';
import type { ShapeKey } from '../plan/plan.ts';
import { ProblemError } from '../problem.ts';
import { encodeBlob } from '../tracer/scene-blob.ts';
import type { EditAnswer, EditRequest, ProofRequest, ViewChoice } from './contract.ts';
import { lookPage } from './page.ts';
import type { PageFiles } from './page-files.ts';
import type { ProofRuns } from './proof-run.ts';
import type { LookSession } from './session.ts';
import { Overtaken } from './solids-bench.ts';

export interface Answer {
  status?: number;
  type: string;
  body: Uint8Array | string;
  headers?: Record<string, string>;
}

/** Bytes of an edit: a field's text, and the files it was meant for. */
const MOST_EDIT = 64 * 1024;

const JSON_TYPE = 'application/json';
const BYTES = 'application/octet-stream';
const SCRIPT = 'text/javascript';
const WASM = 'application/wasm';

export const refused = (status: 400 | 403 | 404 | 405 | 413): Answer => ({
  status,
  type: 'text/plain',
  body: '',
});

/**
 * What is no longer there to choose, or was overtaken while it was made: pages ask again, and a browser has no error to note
 * of what a save made in the meantime explains.
 */
const NOTHING: Answer = { status: 204, type: 'text/plain', body: '' };

/** What pages may have done; none of it where they only look. */
export interface Hands {
  edit(request: EditRequest): Promise<EditAnswer>;
  /** none where nothing can be ordered */
  proofs?: ProofRuns;
}

export class Answers {
  private readonly session: LookSession;
  private readonly files: PageFiles;
  private readonly hands: Hands | undefined;

  constructor(session: LookSession, files: PageFiles, hands?: Hands) {
    this.session = session;
    this.files = files;
    this.hands = hands;
  }

  /** @param what the path behind the token */
  async to(request: IncomingMessage, what: string, query: URLSearchParams): Promise<Answer> {
    try {
      if (request.method === 'POST')
        return this.hands ? await this.done(request, what, this.hands) : refused(405);
      if (request.method !== 'GET') return refused(405);
      return this.file(what) ?? (await this.told(what, query));
    } catch (error) {
      return mishap(error);
    }
  }

  private async done(request: IncomingMessage, what: string, { edit, proofs }: Hands): Promise<Answer> {
    if (what === 'edit') return heard<EditRequest>(request, async (said) => json(await edit(said)));
    if (what === 'proof' && proofs)
      return heard<ProofRequest>(request, async (said) => json(await this.session.makeProof(said, proofs)));
    if (what !== 'stop' || !proofs) return refused(405);
    proofs.stop();
    return json({ done: true });
  }

  private file(what: string): Answer | undefined {
    const { session, files } = this;
    switch (what) {
      case '':
        return { type: 'text/html; charset=utf-8', body: lookPage(session.state, files.style) };
      case 'look.js':
        return { type: SCRIPT, body: files.page };
      case 'worker.js':
        return { type: SCRIPT, body: files.worker };
      case 'kernel.wasm':
        return { type: WASM, body: files.kernel };
      case 'filter.wasm':
        return { type: WASM, body: files.filter };
      default:
        return undefined;
    }
  }

  private async told(what: string, query: URLSearchParams): Promise<Answer> {
    const { session } = this;
    if (what === 'view') return json(await session.view(choiceFrom(query)));
    if (what === 'orders') return json(await session.orders());
    if (what === 'band') return json(await session.band(query.get('sku') ?? ''));
    const [name, key = '', ...more] = what.split('/');
    if (more.length > 0) return refused(404);
    if (name === 'solids') return this.solids(key as ShapeKey, query.has('draft'));
    if (name === 'sky') return this.sky(key);
    return refused(404);
  }

  private async solids(key: ShapeKey, draft: boolean): Promise<Answer> {
    const made = await this.session.solids(key, draft);
    if (!made) return NOTHING;
    const { blob, whole } = made;
    return { type: BYTES, body: blob, headers: { 'X-Whole': whole ? '1' : '0' } };
  }

  private async sky(hash: string): Promise<Answer> {
    const map = await this.session.sky(hash);
    return map ? { type: BYTES, body: encodeBlob(map, 'sky') } : refused(404);
  }
}

function choiceFrom(query: URLSearchParams): ViewChoice {
  const studio = query.get('studio');
  return {
    sku: query.get('sku') ?? '',
    shot: query.get('shot') ?? '',
    ...(studio ? { studio } : {}),
  };
}

function json(value: unknown): Answer {
  return value === undefined ? NOTHING : { type: JSON_TYPE, body: JSON.stringify(value) };
}

/** What a reader can mend is told with its problems, what was overtaken is asked for again. */
function mishap(error: unknown): Answer {
  if (error instanceof ProblemError)
    return { status: 422, type: JSON_TYPE, body: JSON.stringify({ problems: error.problems }) };
  if (error instanceof Overtaken) return NOTHING;
  return { status: 500, type: 'text/plain', body: error instanceof Error ? error.message : String(error) };
}

/** A request of bearable size, as JSON. */
async function heard<T>(request: IncomingMessage, answer: (said: T) => Promise<Answer>): Promise<Answer> {
  const parts: Buffer[] = [];
  let size = 0;
  for await (const part of request) {
    size += part.length;
    if (size > MOST_EDIT) return refused(413);
    parts.push(part);
  }
  let said: T;
  try {
    said = JSON.parse(Buffer.concat(parts).toString('utf8'));
  } catch {
    return refused(400);
  }
  return answer(said);
}
