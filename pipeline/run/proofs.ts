import { createHash } from 'node:crypto';
import { cautionsOf } from '../facts/band-facts.ts';
import type { BandFacts } from '../facts/catalogue-schema.ts';
import { priceOf } from '../facts/price.ts';
import { heldBy, heldWording } from '../facts/verdict.ts';
import { pricesCsv } from '../papers/prices-csv.ts';
import { type Proof, proofPage } from '../papers/proof-page.ts';
import type { Logo } from '../picture/logo.ts';
import type { OrderPlan, ProofPlan } from '../plan/client-plan.ts';
import { textIn } from '../plan/local-text.ts';
import type { Plan, Variant } from '../plan/plan.ts';
import { type Problem, ProblemError } from '../problem.ts';
import { clearPrivate, type PrivateFile, privateFolder, publishPrivate } from '../publish/private-folder.ts';
import type { ArtefactStore } from '../store/artefact-store.ts';
import { artefactKey } from '../store/content-key.ts';
import { csvCell } from '../words/csv.ts';
import { localeOf, messagesOf } from '../words/locale.ts';
import { keepsBench } from './bench-files.ts';
import { engravedBand, engravedNames, type MadeBand, wasEngraved } from './engraved-bands.ts';
import type { Report } from './events.ts';
import { bandsOfSubject } from './items.ts';
import { isEngraved, proveLetters } from './letter-faults.ts';
import { proofBand, proofPrice } from './proof-facts.ts';
import { heroPictures } from './proof-pictures.ts';
import type { Layer } from './version.ts';
import type { Work } from './work.ts';

export interface PrivateSource {
  work: Work;
  /** of the code */
  versions: Record<Layer, string>;
  store: ArtefactStore;
  logo?: Logo;
  /** all unless given */
  wanted?: (sku: string) => boolean;
  report: Report;
  signal: AbortSignal;
  /** undefined where there is no browser: proofs are then pages only */
  print: (html: string) => Promise<Uint8Array | undefined>;
}

interface ProofSource extends PrivateSource {
  /** the private folder */
  folder: string;
}

/** What a proof is about; `order` is absent for a pair that nobody ordered. */
interface ProofSubject {
  /** files are named by it: an order by the hash of its number, so that no name can stand there */
  name: string;
  skus: string[];
  bands: Variant[];
  pair?: string;
  order?: OrderPlan;
}

/**
 * Makes the private folder beside a catalogue, or clears it if the config no longer asks for it. Nothing of it goes
 * through the store: names stay in the proofs themselves.
 */
export async function makePrivate(
  catalogueFolder: string,
  source: PrivateSource,
): Promise<{ changed: string[]; failed: Map<string, string> }> {
  const { plan } = source.work;
  const folder = privateFolder(catalogueFolder);
  const failed = new Map<string, string>();
  if (!plan.proofs && !plan.price && !keepsBench(plan)) {
    await clearPrivate(folder);
    return { changed: [], failed };
  }
  const subjects = plan.proofs ? proofSubjects(plan, plan.proofs) : [];
  const withdrawn = new Set<ProofSubject>();
  const left = () => subjects.filter((s) => !withdrawn.has(s));
  const orders = () => left().filter((s) => s.order);
  const changed = await publishPrivate(
    folder,
    subjectFiles(subjects, { ...source, folder }, { failed, withdrawn }),
    {
      note: messagesOf(plan.language).privateNote,
      ...(plan.price ? { prices: await allPrices(source) } : {}),
      orders: () => (orders().length > 0 ? ordersCsv(orders()) : undefined),
    },
    (name) => source.wanted !== undefined && left().some((s) => namesOf(s, plan).includes(name)),
  );
  return { changed, failed };
}

/** Files of the wanted subjects, one subject after the other; what cannot be made is noted. */
async function* subjectFiles(
  subjects: readonly ProofSubject[],
  source: ProofSource,
  { failed, withdrawn }: { failed: Map<string, string>; withdrawn: Set<ProofSubject> },
): AsyncGenerator<PrivateFile> {
  const { wanted } = source;
  for (const subject of subjects) {
    source.signal.throwIfAborted();
    if (wanted && !subject.skus.some(wanted)) continue;
    const made = await engravedBands(subject, source);
    const proof = 'missing' in made ? made : await proofOf(subject, made, source);
    if ('missing' in proof) {
      failed.set(label(subject), `no proof: ${proof.missing}`);
      if (proof.held) withdrawn.add(subject);
      continue;
    }
    yield* filesOf(subject, proof, source);
    if (!('missing' in made)) for (const band of made) yield* band?.files ?? [];
  }
}

/** Of each band that carries letters of the order's own, what was made of it. Their text is never told. */
async function engravedBands(
  { name, order }: ProofSubject,
  source: ProofSource,
): Promise<(MadeBand | undefined)[] | NoProof> {
  const { plan } = source.work;
  const made: (MadeBand | undefined)[] = [];
  for (const [i, band] of (order?.bands ?? []).entries()) {
    try {
      const own = order && isEngraved(band);
      made.push(own ? await engravedBand(name, i + 1, band, order, { ...source, plan }) : undefined);
    } catch (error) {
      if (!(error instanceof ProblemError)) throw error;
      const codes = [...new Set(error.problems.map(({ code }) => code))].join(', ');
      return { missing: `band ${i + 1} cannot be built with its letters (${codes})` };
    }
  }
  return made;
}

/**
 * Refuses orders whose letters cannot be cut before anything is made.
 * @returns warnings
 * @throws ProblemError at the cells of the orders file
 */
export function proveOrders(
  plan: Plan,
  catalogueFolder: string,
  versions: Record<Layer, string>,
): Promise<Problem[]> {
  const source = { plan, versions, folder: privateFolder(catalogueFolder) };
  return proveLetters(plan, (order, n, band) => wasEngraved(orderName(plan, order), n, band, source));
}

/** An order is told of by its line: its number may be anything. */
function label({ order, pair }: ProofSubject): string {
  return order ? `order in line ${order.line}` : String(pair);
}

function orderName({ catalogue }: Plan, { id }: OrderPlan): string {
  const hash = createHash('sha256').update(`${catalogue}\n${id}`).digest('hex');
  return `order-${hash.slice(0, 16)}`;
}

function proofSubjects(plan: Plan, proofs: ProofPlan): ProofSubject[] {
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

/** Names of all proofs that a plan asks for. */
export function plannedProofs(plan: Plan): string[] {
  const { proofs } = plan;
  return proofs ? proofSubjects(plan, proofs).flatMap((s) => namesOf(s, plan)) : [];
}

function namesOf({ name, order }: ProofSubject, plan: Plan): string[] {
  const papers = plan.proofs?.papers ?? [];
  const own = (order?.bands ?? []).flatMap((band, i) =>
    isEngraved(band) ? engravedNames(name, i + 1, band, plan) : [],
  );
  return [`${name}.html`, ...papers.map((p) => `${name}-${p}.pdf`), ...own];
}

function ordersCsv(subjects: readonly ProofSubject[]): string {
  const rows = subjects.map(({ name, order }) => [csvCell(order?.id), csvCell(`${name}.html`)].join(','));
  return `${['order,proof', ...rows].join('\r\n')}\r\n`;
}

function filesOf(subject: ProofSubject, proof: Proof, source: PrivateSource): PrivateFile[] {
  const { plan } = source.work;
  const locale = localeOf(subject.order?.language ?? plan.language, plan.market);
  const papers = plan.proofs?.papers ?? [];
  const pages = papers.map((paper) => ({ paper, html: proofPage(proof, locale, paper) }));
  const told = (name: string, data: Uint8Array | undefined) => {
    if (data) source.report({ event: 'proof', file: name, bytes: data.length });
    return data;
  };
  const page: PrivateFile = {
    name: `${subject.name}.html`,
    key: artefactKey({ html: pages[0].html }),
    data: async () => told(`${subject.name}.html`, Buffer.from(pages[0].html)),
  };
  const prints = pages.map(({ paper, html }): PrivateFile => {
    const name = `${subject.name}-${paper}.pdf`;
    return { name, key: artefactKey({ pdf: html }), data: async () => told(name, await source.print(html)) };
  });
  return [page, ...prints];
}

/** `held`: an earlier proof of it is withdrawn too. */
interface NoProof {
  missing: string;
  held?: true;
}

/** Nobody is to tick and sign what fails a bench error that the maker does not waive. */
function refusal(facts: readonly BandFacts[]): NoProof | undefined {
  const rules = heldBy(facts);
  return rules.length === 0 ? undefined : { missing: heldWording(rules), held: true };
}

async function proofOf(
  { order, bands, pair }: ProofSubject,
  made: readonly (MadeBand | undefined)[],
  source: PrivateSource,
): Promise<Proof | NoProof> {
  const language = order?.language ?? source.work.plan.language;
  const plan: Plan = { ...source.work.plan, language };
  const { proofs, letterhead, market } = plan;
  const work = { ...source.work, plan };
  const facts = await bandsOfSubject({ sku: '', kind: 'pair', bands }, { work, store: source.store });
  if ('missing' in facts) return facts;
  const refused = refusal(facts);
  if (refused) return refused;
  const pictures = await heroPictures(bands, pair, { ...source, work }, language);
  if (pictures.length === 0) return { missing: 'its pictures are not made' };
  const locale = localeOf(language, market);
  const price = plan.price && proofPrice(facts, plan.price, locale);
  const expires = order?.expires ?? proofs?.expires;
  return {
    title: plan.title,
    letterhead,
    ...(source.logo ? { logo: source.logo } : {}),
    ...(order ? { order: order.id, names: order.names } : {}),
    ...(order?.issued ? { issued: order.issued } : {}),
    ...(expires ? { expires } : {}),
    pictures,
    ...(made.some((band) => band) ? { otherLetters: true } : {}),
    bands: bands.map((band, i) =>
      proofBand(band, made[i]?.facts(plan) ?? facts[i], plan, locale, order?.bands[i]),
    ),
    ...(price ? { price } : {}),
    ...(order?.notes ? { notes: order.notes } : {}),
    options: (proofs?.options ?? []).map((o) => textIn(o, language)),
    cautions: cautionsOf(bands, language, plan.market),
    ...(proofs?.draft ? { draft: true } : {}),
  };
}

/** How the price of every band whose facts are known, and which is not held back, is made up. */
async function allPrices({ work, store }: PrivateSource): Promise<string> {
  const { plan } = work;
  const bands = new Map(
    [...plan.variants, ...plan.pairs.flatMap((p) => [p.left, p.right])].map((b) => [b.sku, b]),
  );
  const prices = [];
  for (const band of bands.values()) {
    const facts = await bandsOfSubject({ sku: band.sku, kind: 'variant', bands: [band] }, { work, store });
    const price = 'missing' in facts || refusal(facts) ? undefined : priceOf(facts[0], plan.price!);
    if (price) prices.push({ sku: band.sku, price });
  }
  return pricesCsv(prices, localeOf(plan.language, plan.market));
}
