import { createHash } from 'node:crypto';
import { type AltWords, altText, ENGLISH } from '../catalogue/alt-text.ts';
import { GERMAN } from '../catalogue/alt-text-de.ts';
import { type OrderPlan, PROOF, type ProofPlan } from '../catalogue/client-plan.ts';
import { textIn } from '../catalogue/local-text.ts';
import type { Plan, ShotName, Variant } from '../catalogue/plan.ts';
import type { Logo } from '../picture/logo.ts';
import { csvCell } from '../publish/catalogue-csv.ts';
import type { BandFacts } from '../publish/catalogue-schema.ts';
import { artefactKey } from '../publish/content-key.ts';
import { localeOf, messagesOf } from '../publish/messages/locale.ts';
import { priceOf } from '../publish/price.ts';
import { pricesCsv } from '../publish/prices-csv.ts';
import { clearPrivate, type PrivateFile, privateFolder, publishPrivate } from '../publish/private-folder.ts';
import { type Proof, type ProofPicture, proofPage } from '../publish/proof-page.ts';
import type { ArtefactStore } from '../publish/store.ts';
import { heldBy, heldWording } from '../publish/verdict.ts';
import type { Language } from '../trade/words.ts';
import { cautionsOf } from './band-facts.ts';
import { keepsBench } from './bench-files.ts';
import type { Report } from './events.ts';
import { bandsOfSubject } from './items.ts';
import { decodeBundle } from './picture-bundle.ts';
import { proofBand, proofPrice } from './proof-facts.ts';
import type { Work } from './work.ts';

export interface PrivateSource {
  work: Work;
  store: ArtefactStore;
  logo?: Logo;
  /** all unless given */
  wanted?: (sku: string) => boolean;
  report: Report;
  signal: AbortSignal;
  /** undefined where there is no browser: proofs are then pages only */
  print: (html: string) => Promise<Uint8Array | undefined>;
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

const ALT_WORDS: Record<Language, AltWords> = { en: ENGLISH, de: GERMAN };

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
  const files: PrivateFile[] = [];
  const withdrawn = new Set<ProofSubject>();
  for (const subject of subjects) {
    source.signal.throwIfAborted();
    const { wanted } = source;
    if (wanted && !subject.skus.some(wanted)) continue;
    const proof = await proofOf(subject, source);
    if ('missing' in proof) {
      failed.set(label(subject), `no proof: ${proof.missing}`);
      if (proof.held) withdrawn.add(subject);
    } else files.push(...filesOf(subject, proof, source));
  }
  const left = subjects.filter((s) => !withdrawn.has(s));
  const planned = new Set(left.flatMap((s) => namesOf(s.name, plan.proofs?.papers ?? [])));
  const orders = left.filter((s) => s.order);
  const changed = await publishPrivate(
    folder,
    files,
    {
      note: messagesOf(plan.language).privateNote,
      ...(plan.price ? { prices: await allPrices(source) } : {}),
      ...(orders.length > 0 ? { orders: ordersCsv(orders) } : {}),
    },
    (name) => source.wanted !== undefined && planned.has(name),
  );
  return { changed, failed };
}

/** An order is told of by its line: its number may be anything. */
function label({ order, pair }: ProofSubject): string {
  return order ? `order in line ${order.line}` : String(pair);
}

function proofSubjects(plan: Plan, proofs: ProofPlan): ProofSubject[] {
  const ordered = proofs.orders.map((order): ProofSubject => {
    const bands = order.bands.map((b) => b.variant);
    const hash = createHash('sha256').update(`${plan.catalogue}\n${order.id}`).digest('hex');
    const skus = [...bands.map((b) => b.sku), ...(order.pair ? [order.pair] : [])];
    return { name: `order-${hash.slice(0, 16)}`, skus, bands, pair: order.pair, order };
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
  return proofs ? proofSubjects(plan, proofs).flatMap((s) => namesOf(s.name, proofs.papers)) : [];
}

function namesOf(name: string, papers: readonly string[]): string[] {
  return [`${name}.html`, ...papers.map((p) => `${name}-${p}.pdf`)];
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
    bands: bands.map((band, i) => proofBand(band, facts[i], plan, locale, order?.bands[i])),
    ...(price ? { price } : {}),
    ...(order?.notes ? { notes: order.notes } : {}),
    options: (proofs?.options ?? []).map((o) => textIn(o, language)),
    cautions: cautionsOf(bands, language, plan.market),
    ...(proofs?.draft ? { draft: true } : {}),
  };
}

/** The pair together if it was pictured, else each band by itself; two equal bands share a picture. */
async function heroPictures(
  bands: readonly Variant[],
  pair: string | undefined,
  source: PrivateSource,
  language: Language,
): Promise<ProofPicture[]> {
  const together = pair === undefined ? undefined : await heroPicture(pair, bands, source, language);
  if (together) return [together];
  const single: ProofPicture[] = [];
  for (const band of new Map(bands.map((b) => [b.sku, b])).values()) {
    const picture = await heroPicture(band.sku, [band], source, language);
    if (picture) single.push(picture);
  }
  return single;
}

/** The picture of the first shot of the config that shows the SKU. */
async function heroPicture(
  sku: string,
  bands: readonly Variant[],
  { work, store }: PrivateSource,
  language: Language,
): Promise<ProofPicture | undefined> {
  const order = work.plan.shots.map((s) => s.name);
  const takes = work.takes
    .filter((t) => t.pictures.some((p) => p.skus.includes(sku)))
    .sort((a, b) => order.indexOf(a.take.shot.name) - order.indexOf(b.take.shot.name));
  for (const { take, pictures } of takes) {
    const key = pictures.find((p) => p.skus.includes(sku))?.key ?? '';
    const bundle = await store.get('picture', key);
    const file = bundle && decodeBundle(bundle).find((p) => p.name === PROOF);
    if (file) return { ...file, alt: altOf(take.shot.view, bands, work.plan, language) };
  }
  return undefined;
}

function altOf(view: ShotName, bands: readonly Variant[], { shapes }: Plan, language: Language): string {
  const depicted = bands.map((band) => ({ band, design: shapes[band.shape] }));
  return altText(view, depicted, ALT_WORDS[language]);
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
