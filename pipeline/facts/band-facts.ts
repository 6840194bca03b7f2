import type { BenchCheck, FitStep } from '../band/built-shape.ts';
import type { PlanBench, PlanCatalogue, PlanClients, PlanGrid, Variant } from '../plan/plan.ts';
import type { BenchRuleName } from '../trade/bench-limits.ts';
import { tell } from '../trade/bench-words.ts';
import { boughtCarats } from '../trade/charted-weights.ts';
import type { Market } from '../trade/market.ts';
import { caratsOf, gramsOf } from '../trade/mass.ts';
import { allSizes } from '../trade/ring-size.ts';
import type { TradeWords } from '../trade/trade-words.ts';
import { type Language, tradeWords } from '../trade/words.ts';
import { localeOf } from '../words/locale.ts';
import type { BandFacts } from './catalogue-schema.ts';
import { chosenChecks } from './chosen-checks.ts';
import { dressChecks } from './dress-checks.ts';
import { alloyRow, stoneRow } from './looks.ts';
import { metalChecks } from './metal-checks.ts';
import { publicPrice } from './price.ts';
import type { SolidFacts } from './solid-facts.ts';
import { heldBy, verdictOf } from './verdict.ts';

/** The facts a shop publishes of one band: volumes meet densities here. */
export function bandFacts(
  variant: Variant,
  solid: SolidFacts,
  plan: FactsPlan,
  { model, ownModels }: Pick<BandFacts, 'model' | 'ownModels'> = {},
  caster?: BandFacts['caster'],
): BandFacts {
  const { language, market, price } = plan;
  const words = tradeWords(language, market);
  const metals = metalsOf(variant, solid, words);
  const rows = rowsOf(variant, solid, words, plan.stoneWeights);
  const checks = checksOf(variant, solid, metals, plan);
  const heldBack = heldBy([{ checks }]);
  const facts: BandFacts = {
    sku: variant.sku,
    axes: variant.axes,
    innerDiameterMm: solid.innerDiameterMm,
    circumferenceMm: solid.circumferenceMm,
    widthMm: solid.widthMm,
    thicknessMm: solid.thicknessMm,
    ...(solid.back && { back: solid.back }),
    ...(solid.outline && { outline: solid.outline }),
    sizes: sizesOf(solid.circumferenceMm, language, market),
    metals,
    metalMassG: metals.reduce((sum, m) => sum + m.massG, 0),
    finishes: finishesOf(variant, solid, words),
    rows,
    stoneCount: rows.reduce((sum, r) => sum + r.count, 0),
    totalCarats: rows.reduce((sum, r) => sum + r.carats, 0),
    fits: solid.fits.map((fit) => ({
      ...fit,
      fewer: fit.fewer && toldStep(fit.fewer, language, market),
      more: fit.more && toldStep(fit.more, language, market),
    })),
    ...(solid.marks ? { marks: solid.marks } : {}),
    checks,
    failedChecks: verdictOf(checks).failed.length,
    ...(heldBack.length > 0 ? { heldBack } : {}),
    ...(caster ? { caster } : {}),
    model,
    ...(ownModels ? { ownModels } : {}),
  };
  const charged = price && heldBack.length === 0 && publicPrice(facts, price, language);
  return charged ? { ...facts, price: charged } : facts;
}

/** What a band's facts depend on besides the band. */
type FactsPlan = Pick<PlanGrid, 'shapes'> &
  Pick<PlanCatalogue, 'language' | 'market'> &
  Pick<PlanClients, 'price'> &
  Pick<PlanBench, 'stoneWeights'>;

function rowsOf(
  variant: Variant,
  solid: SolidFacts,
  words: TradeWords,
  stoneWeights: FactsPlan['stoneWeights'],
): BandFacts['rows'] {
  return solid.rows.map((row) => {
    const stone = stoneRow(variant.dress.stones[row.slot]);
    const origin = variant.origins[row.slot];
    const treatments = variant.treatments[row.slot];
    const weight = boughtCarats(stone, row, caratsOf(row.volumeMm3, stone.density), stoneWeights);
    return {
      name: row.name,
      stone: stone.id,
      label: words.stone(stone.id, origin, treatments),
      origin,
      ...(treatments.length > 0 ? { treatments } : {}),
      cut: row.cut,
      ...(row.inside && { inside: true as const }),
      ...(row.face && { face: row.face }),
      diameterMm: row.diameterMm,
      ...(row.lengthMm === undefined ? {} : { lengthMm: row.lengthMm }),
      count: row.count,
      carats: row.count * weight.carats,
      weightFrom: weight.from,
    };
  });
}

/** Checks of the solid, of what it wears and of its metals, told in the catalogue's language. */
function checksOf(
  variant: Variant,
  solid: SolidFacts,
  metals: BandFacts['metals'],
  { shapes, language, market }: FactsPlan,
): BandFacts['checks'] {
  const words = tradeWords(language, market);
  const dressed = dressChecks(shapes[variant.shape], variant.dress, {
    alloy: words.alloy,
    stone: (slot) => words.stone(variant.dress.stones[slot], variant.origins[slot], variant.treatments[slot]),
  });
  return [...solid.checks, ...chosenChecks(variant.chosen), ...dressed, ...metalChecks(metals)].map((check) =>
    waived(toldCheck(check, language, market), variant),
  );
}

/** Every name of the size, the market's own first. */
function sizesOf(circumferenceMm: number, language: Language, market?: Market): BandFacts['sizes'] {
  const names = tradeWords(language).sizeSystem;
  return allSizes(circumferenceMm)
    .flatMap((s) => (s.name ? [{ system: s.system, label: names[s.system], text: s.name }] : []))
    .sort((a, b) => Number(b.system === market?.sizes) - Number(a.system === market?.sizes));
}

type Check = BandFacts['checks'][number];

function toldCheck({ told, ...check }: BenchCheck, language: Language, market?: Market): Check {
  const words = tradeWords(language);
  const { tag } = localeOf(language, market);
  return {
    ...check,
    limit: tell(told.limit, words.bench, tag),
    measured: tell(told.measured, words.bench, tag),
    place: tell(told.place, words.bench, tag),
    source: words.source(check.rule as BenchRuleName, check.source, told.ownLimit === true),
  };
}

function toldStep({ told, ...step }: FitStep, language: Language, market?: Market) {
  return { ...step, why: tell(told, tradeWords(language).bench, localeOf(language, market).tag) };
}

/** A failed rule that the config waives for this variant carries the reason; one that holds needs none. */
function waived<C extends Pick<Check, 'rule' | 'passed'>>(
  check: C,
  { waivers }: Pick<Variant, 'waivers'>,
): C & { waived?: string } {
  const reason = waivers?.[check.rule as BenchRuleName];
  return check.passed || reason === undefined ? check : { ...check, waived: reason };
}

/** Lanes of one alloy are weighed together: that is what is bought and hallmarked. */
function metalsOf(variant: Variant, solid: SolidFacts, words: TradeWords): BandFacts['metals'] {
  const metals: BandFacts['metals'] = [];
  solid.lanes.forEach((lane, i) => {
    const alloy = alloyRow(variant.dress.alloys[i]);
    let metal = metals.find((m) => m.alloy === alloy.id);
    if (!metal) {
      metal = {
        alloy: alloy.id,
        name: words.alloy(alloy.id),
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

/** Finishes, each once with its lanes. */
function finishesOf(
  variant: Variant,
  solid: SolidFacts,
  words: TradeWords,
): NonNullable<BandFacts['finishes']> {
  const finishes = new Map<string, string[]>();
  solid.lanes.forEach(({ name }, i) => {
    const id = variant.dress.finishes[i];
    finishes.set(id, [...(finishes.get(id) ?? []), name]);
  });
  return [...finishes].map(([finish, lanes]) => ({ finish, name: words.finish(finish), lanes }));
}

/** Cautions of the alloys and stones that a band really has, each once. */
export function cautionsOf(variants: readonly Variant[], language: Language, market?: Market): string[] {
  const words = tradeWords(language, market);
  const found = variants.flatMap((v) => [
    ...v.dress.alloys.flatMap((id) => words.alloyCautions(id).map((c) => `${words.alloyLabel(id)}: ${c}`)),
    ...v.dress.stones.flatMap((id) => words.stoneCautions(id).map((c) => `${words.stoneLabel(id)}: ${c}`)),
  ]);
  return [...new Set(found)];
}
