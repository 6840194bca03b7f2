/** What a proof says, without its pictures, and the digest by which replies to it are known. */
import { problem } from '../band/problem-words.ts';
import { cautionsOf } from '../facts/band-facts.ts';
import type { BandFacts } from '../facts/catalogue-schema.ts';
import { heldBy, heldWording } from '../facts/verdict.ts';
import { proofDigest } from '../papers/proof-digest.ts';
import type { Proof } from '../papers/proof-page.ts';
import { textIn } from '../plan/local-text.ts';
import type { Plan } from '../plan/plan.ts';
import { isRefused, type Refusal, type Result } from '../problem.ts';
import { localeOf } from '../words/locale.ts';
import type { Source } from './kind.ts';
import { type OwnFacts, proofBand, proofPrice } from './proof-facts.ts';
import type { ProofSubject } from './proof-subject.ts';
import { factsOfBands } from './solid.ts';

/** An earlier proof of what is refused with this code is withdrawn too. */
export const HELD = 'held-back';

export interface ProofContent {
  /** without pictures */
  proof: Proof;
  digest: string;
}

/** Nobody is to tick and sign what fails a bench error that the maker does not waive. */
export function heldBack(facts: readonly BandFacts[]): Refusal | undefined {
  const rules = heldBy(facts);
  if (rules.length === 0) return undefined;
  const advice = 'Change the band, or waive the rule in the config and say why.';
  const expected = 'bands that the bench can make';
  return { problems: [problem(HELD, facts[0].sku, expected, heldWording(rules), advice)] };
}

/** @param own by place in the order; undefined where a band's letters are those of the catalogue */
export async function proofContent(
  { order, bands }: ProofSubject,
  own: readonly (OwnFacts | undefined)[],
  source: Source,
): Promise<Result<ProofContent>> {
  const language = order?.language ?? source.plan.language;
  const plan: Plan = { ...source.plan, language };
  const { proofs, letterhead, market } = plan;
  const facts = await factsOfBands(bands, { ...source, plan });
  if (isRefused(facts)) return facts;
  // letters may leave less metal than the rules ask for, and a waiver may have gone since they were cut
  const told = facts.map((band, i) => own[i]?.facts(plan) ?? band);
  const refused = heldBack([...facts, ...told]);
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
    bands: bands.map((band, i) => proofBand(band, told[i], plan, locale, order?.bands[i])),
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
