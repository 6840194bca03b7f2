/** What proofs are about, and the names of their files. */
import { createHash } from 'node:crypto';
import type { OrderPlan, ProofPlan } from '../plan/client-plan.ts';
import type { Plan, Sku, Variant } from '../plan/plan.ts';
import { engravedNames } from './engraved-bands.ts';
import { ticketNames } from './job-ticket.ts';
import { isEngraved } from './letter-faults.ts';

/** What a proof is about; `order` is absent for a pair that nobody ordered. */
export interface ProofSubject {
  /** files are named by it: an order by the hash of its number, so that no name can stand there */
  name: string;
  skus: Sku[];
  bands: Variant[];
  pair?: Sku;
  order?: OrderPlan;
}

/** An order is told of by its line: its number may be anything. */
export function labelOf({ order, pair }: ProofSubject): string {
  return order ? `order in line ${order.line}` : String(pair);
}

export function orderName({ catalogue }: Plan, { id }: OrderPlan): string {
  const hash = createHash('sha256').update(`${catalogue}\n${id}`).digest('hex');
  return `order-${hash.slice(0, 16)}`;
}

export function proofSubjects(plan: Plan, proofs: ProofPlan): ProofSubject[] {
  const ordered = proofs.orders.map((order): ProofSubject => {
    const bands = order.bands.map((b) => b.variant);
    const skus = [...bands.map((b) => b.sku), ...(order.pair ? [order.pair] : [])];
    return { name: orderName(plan, order), skus, bands, pair: order.pair, order };
  });
  const pairs = proofs.pairs ? plan.pairs : [];
  return [
    ...ordered,
    ...pairs.map(({ sku, left, right }) => ({
      name: `pair-${sku}`,
      skus: [sku],
      bands: [left, right],
      pair: sku,
    })),
  ];
}

/** Names of all its files. */
export function fileNames({ name, order }: ProofSubject, plan: Plan): string[] {
  const papers = plan.proofs?.papers ?? [];
  const own = (order?.bands ?? []).flatMap((band, i) =>
    isEngraved(band) ? engravedNames(name, i + 1, band, plan) : [],
  );
  const ticket = order ? ticketNames(name, plan) : [];
  return [`${name}.html`, ...papers.map((p) => `${name}-${p}.pdf`), ...own, ...ticket];
}
