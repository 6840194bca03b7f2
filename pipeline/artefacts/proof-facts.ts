import type { BandFacts } from '../facts/catalogue-schema.ts';
import { type PriceBreakdown, priceOf } from '../facts/price.ts';
import { cutName } from '../facts/wording.ts';
import { boreDrawing, unrolledDrawing } from '../papers/bench-drawing.ts';
import type { ProofBand, ProofLetters, ProofPrice } from '../papers/proof-page.ts';
import type { OrderBand, PricePlan } from '../plan/client-plan.ts';
import type { ShapeDesign } from '../plan/design.ts';
import { textIn } from '../plan/local-text.ts';
import { SIZE_TOLERANCE_MM } from '../plan/order-bands.ts';
import type { Plan, Variant } from '../plan/plan.ts';
import { MATERIAL_CARE } from '../trade/bench-care.ts';
import { allSizes } from '../trade/ring-size.ts';
import { tradeWords } from '../trade/words.ts';
import type { Locale } from '../words/locale.ts';

/** Facts of a band that carries letters of its order's own, in the words of a plan's language. */
export interface OwnFacts {
  facts(plan: Plan): BandFacts;
}

/** One band's column of a proof, in the words and figures of its reader. */
export function proofBand(
  band: Variant,
  facts: BandFacts,
  plan: Pick<Plan, 'shapes' | 'market'>,
  locale: Locale,
  ordered?: OrderBand,
): ProofBand {
  const say = locale.messages.proof;
  const stones = facts.rows.map((row) => {
    const across = locale.mm(row.diameterMm);
    const size =
      row.lengthMm === undefined
        ? `Ø ${across}`
        : locale.messages.wording.by(locale.mm(row.lengthMm), across);
    const line = `${row.count} × ${row.label}, ${cutName(row.cut, locale.language)}, ${size}`;
    // the total of all follows below; a row's own tells only where there are several
    return facts.rows.length > 1 ? `${line}, ${say.totalCarats(locale.carats(row.carats))}` : line;
  });
  return {
    sku: facts.sku,
    ...sizeNames(band, facts, plan, locale, ordered?.size),
    ...(ordered?.measured ? { measured: ordered.measured } : {}),
    inside: say.insideFigures(locale.mm(facts.innerDiameterMm), locale.mm(facts.circumferenceMm)),
    width: locale.mm(facts.widthMm),
    thickness: locale.mm(facts.thicknessMm),
    metals: metalLines(band, facts, plan, locale),
    stones,
    ...(facts.stoneCount > 0 ? { totalCarats: say.totalCarats(locale.carats(facts.totalCarats)) } : {}),
    mass: `${say.approximately(locale.grams(facts.metalMassG))} ${say.beforePolishing}`,
    resizing: otherSize(facts),
    letters: lettersOf(facts, ordered?.engraved?.design ?? plan.shapes[band.shape], locale),
  };
}

/**
 * Stones all round leave no metal to cut or to add to. Beside another metal nothing is stretched: their joint would open. The
 * metal round enamel can be cut once the enamel is out.
 */
export function otherSize({ checks, metals }: Pick<BandFacts, 'checks' | 'metals'>): ProofBand['resizing'] {
  if (checks.some(({ rule, passed }) => rule === 'full-circle' && !passed)) return 'remade';
  const ways = new Set(metals.map(({ alloy }) => MATERIAL_CARE.get(alloy)?.resizing ?? 'as-gold'));
  if (ways.size === 1) return [...ways][0];
  return ways.has('stretched') || ways.has('remade') ? 'remade' : 'enamelled-anew';
}

/** Widest drawing that a proof's page holds, mm: Letter and A4 less their margins. */
const DRAWING_WIDTH_MM = 178;

/** The letters that the solids carry, each drawn from the design that they were cut by. */
function lettersOf(
  { marks, circumferenceMm, thicknessMm }: BandFacts,
  design: ShapeDesign,
  locale: Locale,
): ProofLetters[] {
  const around = circumferenceMm + 2 * Math.PI * thicknessMm;
  const scale = 2 * around + 8 <= DRAWING_WIDTH_MM ? 2 : 1;
  return (marks?.engravings ?? []).map(({ side, text }) => ({
    side,
    text,
    drawing: (side === 'inside' ? boreDrawing : unrolledDrawing)(design, locale, scale, false),
    scale: `${scale}:1`,
  }));
}

/** The client's own size first; what the band is made as, or its ISO size, below it. */
function sizeNames(
  band: Variant,
  facts: BandFacts,
  { market }: Pick<Plan, 'market'>,
  { messages, number }: Locale,
  ordered: string | undefined,
): Pick<ProofBand, 'size' | 'sizeMore'> {
  const iso = `ISO ${number(facts.circumferenceMm, 0, 1)}`;
  const made = band.axes.size ?? iso;
  const local = allSizes(facts.circumferenceMm).find((s) => s.system === market?.sizes);
  const fits = local?.name && Math.abs(local.deviationMm ?? Infinity) <= SIZE_TOLERANCE_MM;
  const size = ordered ?? (fits ? local.name : undefined) ?? made;
  if (made !== size) return { size, sizeMore: messages.proof.madeAs(made) };
  return size.startsWith('ISO') ? { size } : { size, sizeMore: iso };
}

/** Each alloy with how its lanes are worked, the heaviest first. */
function metalLines(
  band: Variant,
  facts: BandFacts,
  { shapes }: Pick<Plan, 'shapes'>,
  { language }: Locale,
): string[] {
  const words = tradeWords(language);
  const { lanes } = shapes[band.shape];
  return [...facts.metals]
    .sort((a, b) => b.massG - a.massG)
    .map((metal) => {
      const worked = lanes.flatMap((lane, i) => {
        if (band.dress.alloys[i] !== metal.alloy) return [];
        const finish = words.finish(band.dress.finishes[i]);
        if (lane.texture) return [finish, words.textures[lane.texture.pattern]];
        return lane.hammer ? [finish, words.hammered] : [finish];
      });
      const line = [metal.name, ...new Set(worked)].join(', ');
      return line.charAt(0).toUpperCase() + line.slice(1);
    });
}

/** What is asked for the bands together; undefined if the price of one is not known. */
export function proofPrice(
  facts: readonly BandFacts[],
  plan: PricePlan,
  locale: Locale,
  deposit?: number,
): ProofPrice | undefined {
  const prices = facts.map((f) => priceOf(f, plan));
  if (!prices.every((p): p is PriceBreakdown => p !== undefined)) return undefined;
  const money = (amount: number) => locale.money(amount, plan.currency);
  const total = prices.reduce((sum, p) => sum + p.total, 0);
  const say = locale.messages.proof;
  const { tax } = plan;
  const name = tax && textIn(tax.name, locale.language);
  const told =
    tax &&
    (tax.included
      ? say.taxIncluded(locale.percent(tax.rate), String(name), money((total * tax.rate) / (1 + tax.rate)))
      : say.taxExcluded(locale.percent(tax.rate), String(name)));
  return {
    bands: prices.map((p) => money(p.total)),
    total: money(total),
    ...(deposit ? { deposit: [say.deposit(locale.percent(deposit)), money(deposit * total)] as const } : {}),
    ...(told ? { tax: told } : {}),
  };
}
