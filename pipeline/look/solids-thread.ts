/** A thread that builds shapes one after another, and keeps the lanes that it has cut. */
import { parentPort } from 'node:worker_threads';
import type { LaneSolid } from '../band/built-shape.ts';
import { solidFacts } from '../facts/solid-facts.ts';
import { ProblemError } from '../problem.ts';
import { benchChecks } from '../setting/bench-rules.ts';
import { buildSolids } from '../setting/build-solids.ts';
import { draftSolids } from '../setting/draft-solids.ts';
import type { LaneShelf } from '../setting/lane-shelf.ts';
import { fitReport } from '../setting/row-fit.ts';
import { encodeSolids } from './solids-blob.ts';
import type { SolidsAnswer, SolidsOrder } from './solids-orders.ts';

/** Cut lanes that are kept: those of a pair, and of some edits back. */
const KEPT = 12;

const kept = new Map<string, LaneSolid>();

function keep(key: string, lane: LaneSolid): void {
  kept.delete(key);
  kept.set(key, lane);
  const oldest = kept.keys().next().value;
  if (kept.size > KEPT && oldest !== undefined) kept.delete(oldest);
}

const shelf: LaneShelf = { get: (key) => kept.get(key), put: keep };

function answer(message: SolidsAnswer): void {
  const moved = message.kind === 'made' ? [message.blob.buffer as ArrayBuffer] : [];
  parentPort?.postMessage(message, moved);
}

async function build({ kind, id, design, limits }: SolidsOrder): Promise<void> {
  if (kind === 'draft') {
    const { solids, whole } = await draftSolids(design);
    answer({ kind: 'made', id, blob: encodeSolids(solids), whole });
    return;
  }
  const { solids, cuts } = await buildSolids(design, undefined, shelf);
  // the picture need not wait for what the bench says
  answer({ kind: 'made', id, blob: encodeSolids(solids), whole: true });
  const checks = benchChecks({ design, ...cuts, limits });
  answer({ kind: 'facts', id, facts: solidFacts({ ...solids, fits: cuts.rows.map(fitReport), checks }) });
}

parentPort?.on('message', (order: SolidsOrder) => {
  build(order).catch((error) => {
    if (error instanceof ProblemError) answer({ kind: 'refused', id: order.id, problems: error.problems });
    else
      answer({ kind: 'failed', id: order.id, why: error instanceof Error ? error.message : String(error) });
  });
});
