/** How orders stand: what couples replied to their proofs, against the proofs as they are today. */
import type { SealedReply } from './reply.ts';

/**
 * `changed`: an earlier proof was answered, the one of today must be shown. `expired`: the offer's day passed before
 * anyone approved it. `unmade`: there is no proof to answer.
 */
export type OrderState = 'approved' | 'changes' | 'changed' | 'expired' | 'open' | 'unmade';

/** An order's proof as it is today. */
export interface CurrentProof {
  order: string;
  /** name of its files, without ending */
  proof: string;
  digest?: string;
  /** why there is no digest */
  missing?: string;
  /** ISO 8601 dates */
  expires?: string;
  delivery?: string;
}

/** A file of replies: what it holds, or why it cannot be used. */
export type ReplyFile = { file: string } & ({ reply: SealedReply } | { fault: string });

export interface OrderStanding {
  order: string;
  state: OrderState;
  proof: string;
  /** what of the state needs telling */
  why?: string;
  /** the reply that decides */
  reply?: string;
  /** when it was signed, and by how many */
  signed?: string;
  names?: number;
  expires?: string;
  delivery?: string;
}

/** Why a file counts for no order. */
export interface ReplyNote {
  file: string;
  problem: 'unreadable' | 'foreign' | 'doubled' | 'overtaken';
  message: string;
}

type Read = { file: string; reply: SealedReply };

/** @param today ISO 8601 date */
export function orderStandings(
  proofs: readonly CurrentProof[],
  files: readonly ReplyFile[],
  today: string,
): { orders: OrderStanding[]; notes: ReplyNote[] } {
  const notes: ReplyNote[] = [];
  const names = new Set(proofs.map(({ proof }) => proof));
  const seen = new Map<string, string>();
  const read: Read[] = [];
  for (const given of files) {
    const { file } = given;
    if ('fault' in given) {
      notes.push({ file, problem: 'unreadable', message: given.fault });
      continue;
    }
    const first = seen.get(given.reply.integrity);
    seen.set(given.reply.integrity, first ?? file);
    if (first !== undefined)
      notes.push({ file, problem: 'doubled', message: `the same reply as ${first}; it counts once` });
    else if (!names.has(given.reply.proof))
      notes.push({
        file,
        problem: 'foreign',
        message:
          'a reply to a proof that is none of this catalogue’s orders; was the order removed or renumbered?',
      });
    else read.push(given);
  }
  const orders = proofs.map((proof) => {
    const own = read.filter(({ reply }) => reply.proof === proof.proof).sort((a, b) => newestFirst(a, b));
    return standing(proof, own, today, notes);
  });
  return { orders, notes };
}

const newestFirst = (a: Read, b: Read) => b.reply.made.localeCompare(a.reply.made);

function standing(
  { order, proof, digest, missing, expires, delivery }: CurrentProof,
  replies: readonly Read[],
  today: string,
  notes: ReplyNote[],
): OrderStanding {
  const of = (state: OrderState, by?: Read, why?: string): OrderStanding => ({
    order,
    state,
    proof,
    ...(why ? { why } : {}),
    ...(by ? { reply: by.file, signed: by.reply.date, names: by.reply.names.length } : {}),
    ...(expires ? { expires } : {}),
    ...(delivery ? { delivery } : {}),
  });
  if (digest === undefined) return of('unmade', replies[0], missing);
  const current = replies.filter(({ reply }) => reply.digest === digest);
  const [newest, ...earlier] = current.length > 0 ? current : replies;
  for (const { file } of earlier)
    notes.push({
      file,
      problem: 'overtaken',
      message: `order ${order} was answered again in ${newest.file}`,
    });
  if (current.length === 0) {
    if (newest) return of('changed', newest, 'what was answered is not the proof of today: show it anew');
    return expires !== undefined && today > expires ? of('expired') : of('open');
  }
  if (newest.reply.decision === 'changes') return of('changes', newest, 'what they wish stands in the reply');
  if (expires !== undefined && newest.reply.date > expires)
    return of('expired', newest, 'it was approved after the offer’s day');
  return of('approved', newest);
}
