import type { Problem } from '../../problem.ts';
import type { SkyMap } from '../../scene/sky-map.ts';
import { decodeBlob } from '../../tracer/scene-blob.ts';
import type {
  EditAnswer,
  EditRequest,
  LookBand,
  LookOrders,
  LookView,
  ProofRequest,
  ViewChoice,
} from '../contract.ts';
import type { SceneOrder } from './orders.ts';

type Solids = SceneOrder['solids'][number] & { whole: boolean };

/** What the server says of a request that a reader can do something about. */
export class Refused extends Error {
  readonly problems: readonly Problem[];
  constructor(problems: readonly Problem[]) {
    super('refused');
    this.problems = problems;
  }
}

/** Whole solids that are kept in the page. */
const KEPT = 6;

/** What pictures and tables are made of, asked for once. */
export class PageShelf {
  private readonly wholes = new Map<string, Solids>();
  private readonly skies = new Map<string, Promise<SkyMap>>();

  async view(choice: ViewChoice): Promise<LookView | undefined> {
    const query = new URLSearchParams({ ...choice });
    const answer = await get(`view?${query}`);
    return isThere(answer) ? answer.json() : undefined;
  }

  async band(sku: string): Promise<LookBand[] | undefined> {
    const answer = await get(`band?${new URLSearchParams({ sku })}`);
    return isThere(answer) ? answer.json() : undefined;
  }

  /** @throws Refused */
  async edit(request: EditRequest): Promise<EditAnswer> {
    const answer = await answered(fetch('edit', { method: 'POST', body: JSON.stringify(request) }));
    if (!answer.ok) throw new Error(`HTTP ${answer.status}`);
    return answer.json();
  }

  /** @returns undefined where nothing can be ordered. @throws Refused */
  async orders(): Promise<LookOrders | undefined> {
    const answer = await get('orders');
    return isThere(answer) ? answer.json() : undefined;
  }

  /** @returns whether a run has begun */
  async makeProof(request: ProofRequest): Promise<boolean> {
    const answer = await answered(fetch('proof', { method: 'POST', body: JSON.stringify(request) }));
    return answer.ok && (await answer.json()).done;
  }

  async stopProof(): Promise<void> {
    await fetch('stop', { method: 'POST' });
  }

  /** @returns undefined for a shape that has been overtaken. @throws Refused */
  async solids(key: string, draft: boolean): Promise<Solids | undefined> {
    const kept = this.wholes.get(key);
    if (kept) return kept;
    const answer = await get(`solids/${key}${draft ? '?draft' : ''}`);
    if (!isThere(answer)) return undefined;
    const whole = answer.headers.get('X-Whole') === '1';
    const made = { key: whole ? key : `${key} draft`, blob: shared(await answer.arrayBuffer()), whole };
    if (whole) this.keep(key, made);
    return made;
  }

  sky(hash: string): Promise<SkyMap> {
    const kept = this.skies.get(hash);
    if (kept) return kept;
    const asked = get(`sky/${hash}`)
      .then((answer) => answer.arrayBuffer())
      .then((bytes) => decodeBlob<SkyMap>(bytes));
    this.skies.set(hash, asked);
    return asked;
  }

  private keep(key: string, made: Solids): void {
    this.wholes.set(key, made);
    const oldest = this.wholes.keys().next().value;
    if (this.wholes.size > KEPT && oldest !== undefined) this.wholes.delete(oldest);
  }
}

/** false where it was overtaken or is no longer there to choose */
const isThere = (answer: Response) => answer.ok && answer.status !== 204;

const get = (what: string) => answered(fetch(what));

async function answered(asked: Promise<Response>): Promise<Response> {
  const answer = await asked;
  if (answer.status === 422) throw new Refused((await answer.json()).problems);
  return answer;
}

/** All workers look at one copy. */
function shared(bytes: ArrayBuffer): SharedArrayBuffer {
  const copy = new SharedArrayBuffer(bytes.byteLength);
  new Uint8Array(copy).set(new Uint8Array(bytes));
  return copy;
}
