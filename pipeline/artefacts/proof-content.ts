/** What a proof says, without its pictures, and the digest by which replies to it are known. */
import { cautionsOf } from '../facts/band-facts.ts';
import type { BandFacts } from '../facts/catalogue-schema.ts';
import { heldBy, heldWording } from '../facts/verdict.ts';
import { proofDigest } from '../papers/proof-digest.ts';
import type { Proof } from '../papers/proof-page.ts';
import { textIn } from '../plan/local-text.ts';
import type { Plan } from '../plan/plan.ts';
import { localeOf } from '../words/locale.ts';
import type { Source } from './kind.ts';
import { proofBand, proofPrice } from './proof-facts.ts';
import type { ProofSubject } from './proof-subject.ts';
import { factsOfBands } from './solid.ts';

/** `held`: an earlier proof of it is withdrawn too. */
export interface NoProof {
  missing: string;
  held?: true;
}

export interface ProofContent {
  /** without pictures */
  proof: Proof;
  digest: string;
}

/** Facts of a band that carries letters of its order's own, in the words of a plan's language. */
export interface OwnFacts {
  facts(plan: Plan): BandFacts;
}

/** Nobody is to tick and sign what fails a bench error that the maker does not waive. */
export function refusal(facts: readonly BandFacts[]): NoProof | undefined {
  const rules = heldBy(facts);
  return rules.length === 0 ? undefined : { missing: heldWording(rules), held: true };
}

/** @param own by place in the order; undefined where a band's letters are those of the catalogue */
export async function proofContent(
  { order, bands }: ProofSubject,
  own: readonly (OwnFacts | undefined)[],
  source: Source,
): Promise<ProofContent | NoProof> {
  const language = order?.language ?? source.plan.language;
  const plan: Plan = { ...source.plan, language };
  const { proofs, letterhead, market } = plan;
  const facts = await factsOfBands(bands, { ...source, plan });
  if ('missing' in facts) return facts;
  const refused = refusal(facts);
  if (refused) return refused;
  const locale = localeOf(language, market);
  const price = plan.price && proofPrice(facts, plan.price, locale, proofs?.deposit);
  const expires = order?.expires ?? proofs?.expires;
  const proof: Proof = {
    title: plan.title,
    letterhead,
    ...(order ? { order: order.id, names: order.names } : {}),
    ...(order?.issued ? { issued: order.issued } : {}),
    ...(expires ? { expires } : {}),
    ...(order?.delivery ? { delivery: order.delivery } : {}),
    ...(proofs?.terms ? { terms: textIn(proofs.terms, language) } : {}),
    pictures: [],
    ...(own.some((band) => band) ? { otherLetters: true } : {}),
    bands: bands.map((band, i) =>
      proofBand(band, own[i]?.facts(plan) ?? facts[i], plan, locale, order?.bands[i]),
    ),
    ...(price ? { price } : {}),
    ...(order?.notes ? { notes: order.notes } : {}),
    options: (proofs?.options ?? []).map((o) => textIn(o, language)),
    cautions: cautionsOf(bands, language, market),
    ...(proofs?.draft ? { draft: true } : {}),
  };
  const designs = bands.map(({ shape, dress }, i) => ({
    design: order?.bands[i].engraved?.design ?? plan.shapes[shape],
    ...dress,
  }));
  return { proof, digest: proofDigest(proof, designs, language) };
}
