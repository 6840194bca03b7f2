import { cautionsOf } from '../facts/band-facts.ts';
import type { BandFacts } from '../facts/catalogue-schema.ts';
import { benchSheet } from '../papers/bench-sheet.ts';
import type { ShapeDesign } from '../plan/design.ts';
import type { Plan, Variant } from '../plan/plan.ts';
import type { CatalogueDocument } from '../publish/catalogue.ts';
import type { ArtefactStore } from '../store/artefact-store.ts';
import { artefactKey } from '../store/content-key.ts';
import { generalCautions } from '../words/locale.ts';
import type { Work } from './work.ts';

/** A band's bench sheet: the page, and the key of its print. */
export interface Sheet {
  sku: string;
  html: string;
  key: string;
}

/** The sheet of one band; it depends on facts and design alone, so equal bands have equal pages. */
export function sheetOf(facts: BandFacts, { plan }: Work): Sheet {
  const bands = [...plan.variants, ...plan.pairs.flatMap((p) => [p.left, p.right])];
  const band = bands.find((b) => b.sku === facts.sku);
  if (!band) throw new RangeError(`${facts.sku} is no band of the plan`);
  const html = sheetPage(facts, band, plan.shapes[band.shape], plan);
  return { sku: facts.sku, html, key: artefactKey({ layer: 'sheet', html }) };
}

/** @param order number of the order that the band is made for, if its letters are its own */
export function sheetPage(
  facts: BandFacts,
  band: Variant,
  design: ShapeDesign,
  plan: Plan,
  order?: string,
): string {
  return benchSheet(facts, design, {
    workshop: plan.workshop,
    title: plan.title,
    ...(order === undefined ? {} : { order }),
    cautions: [
      ...cautionsOf([band], plan.language, plan.market),
      ...generalCautions(plan.language, plan.market),
    ],
    language: plan.language,
    ...(plan.market ? { market: plan.market } : {}),
  });
}

/** The page, and its print if there is one. */
export async function sheetDocuments(
  { sku, html, key }: Sheet,
  store: ArtefactStore,
): Promise<CatalogueDocument[]> {
  const pdf = await store.get('sheet', key);
  return [
    { kind: 'bench-sheet', name: `${sku}-bench.html`, data: Buffer.from(html) },
    ...(pdf ? [{ kind: 'bench-sheet' as const, name: `${sku}-bench.pdf`, data: pdf }] : []),
  ];
}
