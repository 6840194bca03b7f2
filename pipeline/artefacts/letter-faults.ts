/**
 * Letters of orders that cannot be cut, found before anything is made. Letters are personal: problems tell a letter by
 * its place in the text and the text by its length.
 */
import type { BenchCheck } from '../band/built-shape.ts';
import type { OrderBand, OrderPlan } from '../plan/client-plan.ts';
import type { ShapeDesign } from '../plan/design.ts';
import type { OrderedLetters } from '../plan/ordered-letters.ts';
import type { Plan } from '../plan/plan.ts';
import { type Problem, ProblemError, type Severity } from '../problem.ts';
import { checkShape } from '../setting/build-shape.ts';
import type { BenchRuleName } from '../trade/bench-limits.ts';

/** A band with letters of an order's own. */
export type EngravedBand = OrderBand & Required<Pick<OrderBand, 'engraved'>>;

export function isEngraved(band: OrderBand): band is EngravedBand {
  return band.engraved !== undefined;
}

/**
 * @param proven whether an order's band, counted from 1, was built with these letters before
 * @returns warnings
 * @throws ProblemError with every line of letters that cannot be cut, at its cell of the orders file
 */
export async function proveLetters(
  plan: Plan,
  proven: (order: OrderPlan, n: number, band: EngravedBand) => Promise<boolean> = async () => false,
): Promise<Problem[]> {
  const found: Problem[] = [];
  for (const order of plan.proofs?.orders ?? [])
    for (const [i, band] of order.bands.entries()) {
      if (!isEngraved(band) || (await proven(order, i + 1, band))) continue;
      const faults: Problem[] = [];
      for (const letters of band.engraved.letters) faults.push(...(await faultsOf(letters, band, plan)));
      if (faults.length === 0) faults.push(...(await faultsTogether(band, plan)));
      found.push(...faults);
    }
  if (found.some(({ severity }) => severity === 'error')) throw new ProblemError(found);
  return found;
}

/** What keeps one line of letters from being cut, by the engine and by the rules of the bench. */
async function faultsOf(letters: OrderedLetters, band: EngravedBand, plan: Plan): Promise<Problem[]> {
  const { side } = letters;
  const { design } = band.engraved;
  // alone, so that what is found is about these letters
  const alone = { ...design, engraving: { [side]: design.engraving?.[side] } };
  return faultsIn(alone, letters, band, plan);
}

/** Lines that can each be cut may leave too little metal where one lies over the other, which is told of the outer one. */
async function faultsTogether(band: EngravedBand, plan: Plan): Promise<Problem[]> {
  const { design, letters } = band.engraved;
  const { inside, outside } = design.engraving ?? {};
  if (!inside || !outside) return [];
  const cell = letters.find(({ side }) => side === 'outside') ?? letters[0];
  const faults = await faultsIn(design, cell, band, plan, 'outside');
  return faults.filter(({ code }) => code === 'engraving-wall' || code === 'engraving-too-deep');
}

/** @param side of the lines that are judged; the letters' own if left out */
async function faultsIn(
  design: ShapeDesign,
  letters: OrderedLetters,
  { variant: { waivers } }: EngravedBand,
  { limits }: Plan,
  side = letters.side,
): Promise<Problem[]> {
  try {
    const checks = await checkShape(design, undefined, limits);
    return checks
      .filter((c) => c.rule.startsWith('engraving-') && c.place.includes(`${side} engraving`))
      .filter((c) => !c.passed && !waivers?.[c.rule as BenchRuleName])
      .map((check) => benchFault(check, letters));
  } catch (error) {
    if (!(error instanceof ProblemError)) throw error;
    // a band that cannot be built for other reasons fails as the catalogue's own does
    const own = error.problems.filter(({ path }) => path.startsWith(`engraving.${side}`));
    return own.map(({ code, expected, received, advice }) =>
      atCell(letters, 'error', code, expected, unspoken(received, letters.text), advice),
    );
  }
}

function benchFault({ rule, severity, limit, measured }: BenchCheck, letters: OrderedLetters): Problem {
  return atCell(
    letters,
    severity === 'error' ? 'error' : 'warning',
    rule,
    `${rule.replaceAll('-', ' ')} ${limit}`,
    measured,
    'Change the height, depth or place of the letters in the template, or waive the rule with a reason.',
  );
}

function atCell(
  { column, place }: OrderedLetters,
  severity: Severity,
  code: string,
  expected: string,
  received: string,
  advice: string,
): Problem {
  return { code, severity, path: `orders.${column}`, expected, received, advice, place };
}

/** What the engine says of letters, with places in the text where it names them. */
export function unspoken(received: string, text: string): string {
  const placeOf = (whole: string, letter: string) => {
    const at = [...text].indexOf([...letter][0]);
    return at < 0 ? whole : `letter ${at + 1}`;
  };
  return received
    .replaceAll(JSON.stringify(text), `${[...text].length} characters`)
    .replace(/\S+ \((U\+[0-9A-F]+)\)/g, '$1')
    .replace(/'(.{1,3}?)'(?=\s|$)/gu, placeOf);
}
