import type { ServerResponse } from 'node:http';
import type { LookState, ProofRun } from './contract.ts';
import type { ProofRuns } from './proof-run.ts';
import type { LookSession } from './session.ts';

/** ms after the last page is closed until solids and threads are let go: a page that is loaded again comes back sooner. */
const REST_AFTER = 5000;

/** The open pages, each kept told of every state (server-sent events). */
export class PageStreams {
  private readonly session: LookSession;
  private readonly streams = new Set<ServerResponse>();
  private resting: NodeJS.Timeout | undefined;

  private readonly proofs: ProofRuns | undefined;

  constructor(session: LookSession, proofs?: ProofRuns) {
    this.session = session;
    this.proofs = proofs;
  }

  get count(): number {
    return this.streams.size;
  }

  /** Tells a page the state and how the run of a proof stands, and every other from now on. */
  add(response: ServerResponse, headers: Record<string, string>): void {
    const { session, streams, proofs } = this;
    clearTimeout(this.resting);
    session.warm();
    response.writeHead(200, { ...headers, 'Content-Type': 'text/event-stream' });
    const tell = (state: LookState) => response.write(`data: ${JSON.stringify(state)}\n\n`);
    tell(session.state);
    const forget = session.onChange(tell);
    const forgetStirs = session.onStir((stirred) => response.write(`event: stir\ndata: ${stirred}\n\n`));
    const tellRun = (run: ProofRun) => response.write(`event: proof\ndata: ${JSON.stringify(run)}\n\n`);
    if (proofs?.latest) tellRun(proofs.latest);
    const forgetRuns = proofs?.onChange(tellRun);
    streams.add(response);
    response.on('close', () => {
      forget();
      forgetStirs();
      forgetRuns?.();
      streams.delete(response);
      if (streams.size > 0) return;
      this.resting = setTimeout(() => session.rest(), REST_AFTER);
      this.resting.unref();
    });
  }

  close(): void {
    clearTimeout(this.resting);
  }
}
