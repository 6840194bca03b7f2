import type { BenchCheck } from '../band/built-shape.ts';
import type { Plan, Variant } from '../catalogue/plan.ts';
import type { BandFacts } from '../publish/catalogue-schema.ts';
import { publicPrice } from '../publish/price.ts';
import type { BenchRuleName } from '../trade/bench-limits.ts';
import { caratsOf, gramsOf } from '../trade/mass.ts';
import { allSizes } from '../trade/ring-size.ts';
import { type Language, tradeWords } from '../trade/words.ts';
import { alloyRow, stoneRow } from './looks.ts';
import { metalChecks } from './metal-checks.ts';
import type { SolidFacts } from './solid-facts.ts';

/** The facts a shop publishes of one band: volumes meet densities here. */
export function bandFacts(
  variant: Variant,
  solid: SolidFacts,
  { language, price }: Pick<Plan, 'language' | 'price'>,
  { model, ownModels }: Pick<BandFacts, 'model' | 'ownModels'> = {},
  caster?: BandFacts['caster'],
): BandFacts {
  const metals = metalsOf(variant, solid, language);
  const rows = solid.rows.map((row) => {
    const stone = stoneRow(variant.dress.stones[row.slot]);
    const origin = variant.origins[row.slot];
    return {
      name: row.name,
      stone: stone.id,
      label: tradeWords(language).stone(stone.id, origin),
      origin,
      cut: row.cut,
      diameterMm: row.diameterMm,
      ...(row.lengthMm === undefined ? {} : { lengthMm: row.lengthMm }),
      count: row.count,
      carats: row.count * caratsOf(row.volumeMm3, stone.density),
    };
  });
  const facts: BandFacts = {
    sku: variant.sku,
    axes: variant.axes,
    innerDiameterMm: solid.innerDiameterMm,
    circumferenceMm: solid.circumferenceMm,
    widthMm: solid.widthMm,
    thicknessMm: solid.thicknessMm,
    ...(solid.back && { back: solid.back }),
    sizes: allSizes(solid.circumferenceMm).flatMap((s) =>
      s.name ? [{ system: s.system, label: s.label, text: s.name }] : [],
    ),
    metals,
    metalMassG: metals.reduce((sum, m) => sum + m.massG, 0),
    rows,
    stoneCount: rows.reduce((sum, r) => sum + r.count, 0),
    totalCarats: rows.reduce((sum, r) => sum + r.carats, 0),
    fits: solid.fits,
    ...(solid.marks ? { marks: solid.marks } : {}),
    checks: [...solid.checks, ...metalChecks(metals)].map((check) => waived(check, variant)),
    ...(caster ? { caster } : {}),
    model,
    ...(ownModels ? { ownModels } : {}),
  };
  const charged = price && publicPrice(facts, price, language);
  return charged ? { ...facts, price: charged } : facts;
}

/** A failed rule that the config waives for this variant carries the reason; one that holds needs none. */
function waived(check: BenchCheck, { waivers }: Variant): BenchCheck {
  const reason = waivers?.[check.rule as BenchRuleName];
  return check.passed || reason === undefined ? check : { ...check, waived: reason };
}

/** Lanes of one alloy are weighed together: that is what is bought and hallmarked. */
function metalsOf(variant: Variant, solid: SolidFacts, language: Language): BandFacts['metals'] {
  const metals: BandFacts['metals'] = [];
  solid.lanes.forEach((lane, i) => {
    const alloy = alloyRow(variant.dress.alloys[i]);
    let metal = metals.find((m) => m.alloy === alloy.id);
    if (!metal) {
      metal = {
        alloy: alloy.id,
        name: tradeWords(language).alloy(alloy.id),
        lanes: [],
        volumeMm3: 0,
        massG: 0,
      };
      metals.push(metal);
    }
    metal.lanes.push(lane.name);
    metal.volumeMm3 += lane.volumeMm3;
    metal.massG = gramsOf(metal.volumeMm3, alloy.density);
  });
  return metals;
}

/** Cautions of the alloys and stones that a band really has, each once. */
export function cautionsOf(variants: readonly Variant[], language: Language): string[] {
  const words = tradeWords(language);
  const found = variants.flatMap((v) => [
    ...v.dress.alloys.flatMap((id) => words.alloyCautions(id).map((c) => `${words.alloyLabel(id)}: ${c}`)),
    ...v.dress.stones.flatMap((id) => words.stoneCautions(id).map((c) => `${words.stoneLabel(id)}: ${c}`)),
  ]);
  return [...new Set(found)];
}
