import { lanesByAlloy } from '../artefacts/bands.ts';
import { bandFacts, cautionsOf } from '../facts/band-facts.ts';
import type { SolidFacts } from '../facts/solid-facts.ts';
import { sectionDrawing } from '../papers/bench-drawing.ts';
import type { BandSource } from '../plan/band-source.ts';
import type { Plan, Variant } from '../plan/plan.ts';
import { localeOf } from '../words/locale.ts';
import type { LookBand } from './contract.ts';
import { drawingOf } from './drawing.ts';
import { fieldsOf } from './fields.ts';

/** What is told of a band beside its picture. @param source where its values stand, if they stand in a file */
export function bandTold(band: Variant, facts: SolidFacts, plan: Plan, source?: BandSource): LookBand {
  const { language, market } = plan;
  const locale = localeOf(language, market);
  const design = plan.shapes[band.shape];
  const metals = [...lanesByAlloy(band.dress.alloys).values()].map((lanes) =>
    lanes.map((i) => design.lanes[i].name),
  );
  const known = bandFacts(band, facts, plan);
  return {
    sku: band.sku,
    facts: known,
    drawing: drawingOf(design, known.checks, locale, source, band.dress.alloys),
    fields: source ? fieldsOf(source, locale) : [],
    cautions: cautionsOf([band], language, market),
    section: sectionDrawing(design, 0, metals, locale),
  };
}
