/** The job ticket of an order, in the private folder. It names people: nothing of it goes through the store. */
import { cautionsOf } from '../facts/band-facts.ts';
import { jobTicket, type TicketBand } from '../papers/job-ticket.ts';
import type { OrderPlan } from '../plan/client-plan.ts';
import type { Plan } from '../plan/plan.ts';
import { isRefused } from '../problem.ts';
import type { PrivateFile } from '../publish/private-folder.ts';
import { artefactKey } from '../store/content-key.ts';
import { generalCautions, localeOf } from '../words/locale.ts';
import { type MadeBand, partNames } from './engraved-bands.ts';
import type { Source } from './kind.ts';
import { isEngraved } from './letter-faults.ts';
import { factsOfBands } from './solid.ts';

/** None where the config asks for no papers and files of the bench. */
export function ticketNames(name: string, { sheets, caster }: Plan): string[] {
  return sheets || caster ? [`${name}-ticket.html`, `${name}-ticket.pdf`] : [];
}

/** In the words of the workshop, whatever language the couple reads. Nothing where facts are missing. */
export async function ticketFiles(
  name: string,
  order: OrderPlan,
  own: readonly (MadeBand | undefined)[],
  source: Source,
  print: (html: string) => Promise<Uint8Array | undefined>,
): Promise<PrivateFile[]> {
  const { plan, versions } = source;
  const [page, pdf] = ticketNames(name, plan);
  const bands = order.bands.map(({ variant }) => variant);
  if (page === undefined) return [];
  const facts = await factsOfBands(bands, source);
  if (isRefused(facts)) return [];
  const told = order.bands.map((band, i): TicketBand => {
    const made = own[i]?.facts(plan) ?? facts[i];
    const { sku, shape } = band.variant;
    const files = isEngraved(band)
      ? partNames(name, i + 1, band, plan)
      : (made.caster?.parts ?? []).flatMap((part) => part.files.map(({ file }) => leaf(String(file))));
    const sheet = isEngraved(band) ? `${name}-bench-${i + 1}.pdf` : `${sku}-bench.pdf`;
    return {
      facts: made,
      design: band.engraved?.design ?? plan.shapes[shape],
      ...(band.size ? { size: band.size } : {}),
      files,
      ...(plan.sheets ? { sheet } : {}),
    };
  });
  const html = jobTicket(
    {
      workshop: plan.workshop,
      order: order.id,
      names: order.names,
      ...(order.issued ? { issued: order.issued } : {}),
      ...(order.delivery ? { delivery: order.delivery } : {}),
      ...(order.notes ? { notes: order.notes } : {}),
      bands: told,
      cautions: [
        ...cautionsOf(bands, plan.language, plan.market),
        ...generalCautions(plan.language, plan.market),
      ],
      own: plan.ownBench ?? {},
    },
    localeOf(plan.language, plan.market),
  );
  const key = (kind: string) => artefactKey({ ticket: html, kind, engine: versions.proof });
  return [
    { name: page, key: key('html'), data: async () => Buffer.from(html) },
    { name: pdf, key: key('pdf'), data: () => print(html) },
  ];
}

const leaf = (file: string) => file.slice(file.lastIndexOf('/') + 1);
