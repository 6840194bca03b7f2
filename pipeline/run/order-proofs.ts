/** The proofs of orders as they are today: from a plan and what the store knows of its bands, or as they were last made. */

import { rememberedFacts } from '../artefacts/engraved-bands.ts';
import type { Source } from '../artefacts/kind.ts';
import { KINDS } from '../artefacts/kinds.ts';
import { lackWording } from '../artefacts/lacking.ts';
import { isEngraved } from '../artefacts/letter-faults.ts';
import { PROOF } from '../artefacts/proof.ts';
import { HELD, proofContent } from '../artefacts/proof-content.ts';
import type { OwnFacts } from '../artefacts/proof-facts.ts';
import type { ProofSubject } from '../artefacts/proof-subject.ts';
import { Records } from '../artefacts/records.ts';
import type { CurrentProof } from '../papers/order-standing.ts';
import { readSigning } from '../papers/signing.ts';
import type { Plan } from '../plan/plan.ts';
import { isRefused } from '../problem.ts';
import { proofHeads } from '../publish/private-folder.ts';
import { openWorkplace } from './workplace.ts';

const MAKE = 'make the catalogue first';
const MAKE_AGAIN =
  'config or program changed since its proof was made: make the catalogue again, then ask anew';

/**
 * Builds nothing: where bands or letters are not known yet there is no proof either.
 * @param out folder of catalogues and the store
 * @param folder the private folder
 */
export async function plannedProofs(plan: Plan, out: string, folder: string): Promise<CurrentProof[]> {
  const { work, versions, store } = await openWorkplace(plan, out);
  const { pieces } = work;
  const source = { plan, versions, store, records: new Records(store), kinds: KINDS, pieces };
  const made = new Set((await madeProofs(folder)).map(({ proof }) => proof));
  const proofs: CurrentProof[] = [];
  for (const subject of pieces(PROOF))
    if (subject.order) proofs.push(await plannedProof(subject, source, folder, made));
  return proofs;
}

async function plannedProof(
  subject: ProofSubject,
  source: Source,
  folder: string,
  made: ReadonlySet<string>,
): Promise<CurrentProof> {
  const { name, order } = subject;
  const own: (OwnFacts | undefined)[] = [];
  let lacks = !made.has(name);
  const make = lacks ? MAKE : MAKE_AGAIN;
  for (const [i, band] of (order?.bands ?? []).entries()) {
    const facts = isEngraved(band)
      ? await rememberedFacts(name, i + 1, band, { ...source, folder })
      : undefined;
    if (isEngraved(band) && !facts) lacks = true;
    own.push(facts);
  }
  const content = await proofContent(subject, own, source);
  const expires = order?.expires ?? source.plan.proofs?.expires;
  const held = isRefused(content) && content.problems.some(({ code }) => code === HELD);
  const missing = held ? lackWording(content) : lacks || isRefused(content) ? make : undefined;
  return {
    order: order?.id ?? '',
    proof: name,
    ...(missing === undefined && !isRefused(content) ? { digest: content.digest } : { missing }),
    ...(expires ? { expires } : {}),
    ...(order?.delivery ? { delivery: order.delivery } : {}),
  };
}

/** @throws as readdir(2) where there is no private folder */
export async function madeProofs(folder: string): Promise<CurrentProof[]> {
  const heads = await proofHeads(folder).catch((error: NodeJS.ErrnoException) => {
    if (error.code === 'ENOENT') return new Map<string, string>();
    throw error;
  });
  const proofs = [...heads].map(([page, head]): CurrentProof => {
    const proof = page.replace(/\.html$/, '');
    const signing = readSigning(head);
    if (!signing)
      return {
        order: proof,
        proof,
        missing: 'its proof is a draft or an older one, which cannot be signed on its page',
      };
    const { order, digest, expires } = signing;
    return { order, proof, digest, ...(expires ? { expires } : {}) };
  });
  return proofs.sort((a, b) => a.order.localeCompare(b.order, 'en', { numeric: true }));
}
