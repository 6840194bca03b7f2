/**
 * Proofs for clients and how the maker's prices are made up, in the private folder. Nothing of it goes through the store:
 * names stay in the proofs themselves.
 */

import { stat } from 'node:fs/promises';
import { join } from 'node:path';
import { priceOf } from '../facts/price.ts';
import { pricesCsv } from '../papers/prices-csv.ts';
import { proofPage } from '../papers/proof-page.ts';
import type { Signing } from '../papers/signing.ts';
import type { Plan } from '../plan/plan.ts';
import { shapesOf } from '../plan/shapes.ts';
import { isRefused, ProblemError, type Result } from '../problem.ts';
import { clearPrivate, type PrivateFile, privateFolder, publishPrivate } from '../publish/private-folder.ts';
import { browserScript } from '../store/browser-script.ts';
import { artefactKey } from '../store/content-key.ts';
import { csvCell } from '../words/csv.ts';
import { localeOf, messagesOf } from '../words/locale.ts';
import { distinctBands } from './bands.ts';
import { keptOfBench } from './bench-files.ts';
import { casterNote } from './caster-note.ts';
import { type EngravedSource, engravedBand, type MadeBand, wasEngraved } from './engraved-bands.ts';
import { ticketFiles } from './job-ticket.ts';
import type { Foresight, Kind, Making, Source } from './kind.ts';
import { lacking, lackWording } from './lacking.ts';
import { isEngraved, proveLetters } from './letter-faults.ts';
import { HELD, heldBack, type ProofContent, proofContent } from './proof-content.ts';
import type { OwnFacts } from './proof-facts.ts';
import { heroPictures } from './proof-pictures.ts';
import { fileNames, labelOf, orderName, type ProofSubject, proofSubjects } from './proof-subject.ts';
import { factsOfBands } from './solid.ts';

interface ProofMaking extends Making {
  /** the private folder */
  folder: string;
}

const prints = (subject: ProofSubject, plan: Plan) =>
  fileNames(subject, plan).filter((name) => name.endsWith('.pdf'));

export const PROOF: Kind<ProofSubject> = {
  name: 'proof',
  // its page, word for word, is in its key
  code: ['tracer/print-page.ts'],
  plan: ({ plan }) => (plan.proofs ? proofSubjects(plan, plan.proofs) : []),
  skus: ({ skus }) => skus,
  lacking: async () => true,
  // of each paper's page and print the print is what costs
  costs: [
    {
      name: 'proof',
      label: 'proofs',
      guess: { seconds: 1, bytes: 0.2e6 },
      copies: 1,
      count: (subject, plan) => prints(subject, plan).length,
    },
  ],
  there: printedProofs,
  lay: layPapers,
  // letters of orders that cannot be cut
  prove: ({ plan, versions, catalogueFolder }) => {
    const source = { plan, versions, folder: privateFolder(catalogueFolder) };
    return proveLetters(plan, (order, n, band) => wasEngraved(orderName(plan, order), n, band, source));
  },
};

/** A forecast builds no facts: it counts what an earlier run left, unless solids are to be built anew. */
async function printedProofs(
  pieces: readonly ProofSubject[],
  { plan, catalogueFolder, lacksShape }: Foresight,
): Promise<number> {
  if (shapesOf(plan).some(([shape]) => lacksShape(shape))) return 0;
  const folder = join(privateFolder(catalogueFolder), 'proofs');
  let there = 0;
  for (const name of pieces.flatMap((subject) => prints(subject, plan)))
    if (await stat(join(folder, name)).catch(() => undefined)) there++;
  return there;
}

/** Undefined where there is no browser: proofs are then pages only. */
function printProof(html: string, { costs, tracer }: Making): Promise<Uint8Array | undefined> {
  return costs.timed('proof', async () => (await tracer()).print?.(html));
}

function engravedSource({ plan, versions, folder, ...making }: ProofMaking): EngravedSource {
  return { plan, versions, folder, print: (html) => printProof(html, { plan, versions, ...making }) };
}

/** Makes the private folder beside a catalogue, or clears it if the config no longer asks for it. */
async function layPapers(making: Making): Promise<string[]> {
  const { plan, pieces } = making;
  const folder = privateFolder(making.catalogueFolder);
  const kept = keptOfBench(plan);
  if (!plan.proofs && !plan.price && !kept.caster && !kept.sheets) {
    await clearPrivate(folder);
    return [];
  }
  const subjects = pieces(PROOF);
  const withdrawn = new Set<ProofSubject>();
  const left = () => subjects.filter((s) => !withdrawn.has(s));
  const orders = () => left().filter((s) => s.order);
  return publishPrivate(
    folder,
    subjectFiles(subjects, { ...making, folder }, withdrawn),
    {
      note: messagesOf(plan.language).privateNote,
      ...(plan.price ? { prices: await allPrices(making) } : {}),
      orders: () => (orders().length > 0 ? ordersCsv(orders()) : undefined),
    },
    (name) => making.only !== undefined && left().some((s) => fileNames(s, plan).includes(name)),
  );
}

/** Files of the wanted subjects, one subject after the other; what cannot be made is noted. */
async function* subjectFiles(
  subjects: readonly ProofSubject[],
  source: ProofMaking,
  withdrawn: Set<ProofSubject>,
): AsyncGenerator<PrivateFile> {
  yield* casterNotes(source);
  for (const subject of subjects) {
    source.signal.throwIfAborted();
    if (!subject.skus.some(source.wanted)) continue;
    const made = await engravedBands(subject, source);
    if (isRefused(made)) {
      source.failPaper(labelOf(subject), `no proof: ${lackWording(made)}`);
      continue;
    }
    const proof = await proofOf(subject, made, source);
    if (isRefused(proof)) {
      source.failPaper(labelOf(subject), `no proof: ${lackWording(proof)}`);
      if (proof.problems.some(({ code }) => code === HELD)) withdrawn.add(subject);
      continue;
    }
    yield* await filesOf(subject, proof, source);
    for (const band of made) yield* band?.files ?? [];
    const print = (html: string) => printProof(html, source);
    if (subject.order) yield* await ticketFiles(subject.name, subject.order, made, source, print);
  }
}

/** What a caster must read before the files of engraved bands beside it are used; none where there are no such files. */
function casterNotes({ plan, pieces }: Source): PrivateFile[] {
  const parts = pieces(PROOF)
    .flatMap(({ order }) => order?.bands.filter(isEngraved) ?? [])
    .flatMap(({ variant }) => variant.dress.alloys.map((alloy) => ({ alloy })));
  if (!plan.caster || parts.length === 0) return [];
  const note = casterNote({ plan, parts });
  return [{ name: 'READ-ME.txt', key: artefactKey({ note }), data: async () => Buffer.from(note) }];
}

/** Of each band that carries letters of the order's own, what was made of it. Their text is never told. */
async function engravedBands(
  { name, order }: ProofSubject,
  source: ProofMaking,
): Promise<Result<(MadeBand | undefined)[]>> {
  const made: (MadeBand | undefined)[] = [];
  for (const [i, band] of (order?.bands ?? []).entries()) {
    try {
      const own = order && isEngraved(band);
      made.push(own ? await engravedBand(name, i + 1, band, order, engravedSource(source)) : undefined);
    } catch (error) {
      if (!(error instanceof ProblemError)) throw error;
      const codes = [...new Set(error.problems.map(({ code }) => code))].join(', ');
      return lacking(`band ${i + 1} cannot be built with its letters (${codes})`, name);
    }
  }
  return made;
}

function ordersCsv(subjects: readonly ProofSubject[]): string {
  const rows = subjects.map(({ name, order }) => [csvCell(order?.id), csvCell(`${name}.html`)].join(','));
  return `${['order,proof', ...rows].join('\r\n')}\r\n`;
}

/** A proof of coarse pictures, or of what nobody ordered, is not for signing. */
async function signingOf(
  { name, order }: ProofSubject,
  { proof, digest }: ProofContent,
): Promise<Signing | undefined> {
  if (!order || proof.draft) return undefined;
  return { proof: name, digest, script: await browserScript('papers/reader/signing.ts') };
}

async function filesOf(subject: ProofSubject, content: ProofContent, source: Making): Promise<PrivateFile[]> {
  const { plan, versions } = source;
  const locale = localeOf(subject.order?.language ?? plan.language, plan.market);
  const papers = plan.proofs?.papers ?? [];
  const signing = await signingOf(subject, content);
  const pages = papers.map((paper) => ({ paper, html: proofPage(content.proof, locale, paper, signing) }));
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
    return {
      name,
      key: artefactKey({ pdf: html, engine: versions.proof }),
      data: async () => told(name, await printProof(html, source)),
    };
  });
  return [page, ...prints];
}

async function proofOf(
  subject: ProofSubject,
  own: readonly (OwnFacts | undefined)[],
  source: Making,
): Promise<Result<ProofContent>> {
  const content = await proofContent(subject, own, source);
  if (isRefused(content)) return content;
  const { plan, logo } = source;
  const language = subject.order?.language ?? plan.language;
  const pictures = await heroPictures(subject.bands, subject.pair, source, language);
  if (pictures.length === 0) return lacking('its pictures are not made', subject.name);
  return { ...content, proof: { ...content.proof, pictures, ...(logo ? { logo } : {}) } };
}

/** How the price of every band whose facts are known, and which is not held back, is made up. */
async function allPrices(source: Source): Promise<string> {
  const { plan } = source;
  const prices = [];
  for (const band of distinctBands(plan)) {
    const facts = await factsOfBands([band], source);
    const price = isRefused(facts) || heldBack(facts) ? undefined : priceOf(facts[0], plan.price!);
    if (price) prices.push({ sku: band.sku, price });
  }
  return pricesCsv(prices, localeOf(plan.language, plan.market));
}
