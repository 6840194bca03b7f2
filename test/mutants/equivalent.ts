import { type Mutant, told } from './mutate.ts';

/**
 * A mutant that no test could tell from the code, with the reason. `in` is part of the changed line, `nth` counts equal
 * changes within it, from 1; without it all of them are meant.
 */
interface Equivalent {
  file: string;
  in: string;
  change: string;
  nth?: number;
  reason: string;
}

const UNUSED = 'a value that is never read: ';
const IMPLIED = 'what is dropped follows from what is left: ';
const SAME = 'both branches give the same there: ';

// biome-ignore format: a table reads best as rows
const ROWS: readonly Equivalent[] = [
  { file: 'trade/stone-optics.ts', in: 'c >= 1 ? 0 :', change: 'c >= 1 → false', reason: `${SAME}−ln 1 is 0` },
  { file: 'trade/stone-optics.ts', in: 'c >= 1 ? 0 :', change: '>= → >', reason: `${SAME}−ln 1 is 0` },
  { file: 'trade/stones.ts', in: 'transmission: [1, 1, 1]', change: '1 → 2', reason: `${SAME}a share above 1 absorbs nothing, as 1 does` },
  { file: 'trade/charted-weights.ts', in: 'at === 0 &&', change: 'at === 0 && diameterMm < MELEE_CHART[0][0] - 1e-6 → diameterMm < MELEE_CHART[0][0] - 1e-6', reason: `${IMPLIED}what is smaller than the first size is found at the first` },
  { file: 'trade/charted-weights.ts', in: 'const share = to === from ? 0', change: 'to === from → false', reason: `${UNUSED}at a single size the chart's own figure is taken` },
  { file: 'trade/charted-weights.ts', in: 'const share = to === from ? 0', change: '0 → 1', reason: `${UNUSED}at a single size the chart's own figure is taken; elsewhere the share lies within 0 and 1 but for 1e-6 mm` },
  { file: 'trade/charted-weights.ts', in: 'const share = to === from ? 0', change: '1 → 2', reason: 'the share passes 1 by a 1e-6 mm at most' },
  { file: 'trade/charted-weights.ts', in: 'const carats = to === from ? above', change: 'to === from → false', reason: `${SAME}with a share of 0 the law of cubes gives the chart's figure at its own size` },
  { file: 'trade/charted-weights.ts', in: 'Math.abs(a - b) < SAME_SIZE_MM', change: '< → <=', reason: 'sizes differ by 0.05 mm or by arithmetic' },
  { file: 'trade/charted-weights.ts', in: 'a !== undefined && b !== undefined && Math.abs', change: 'a !== undefined && b !== undefined && Math.abs(a - b) < SAME_SIZE_MM → Math.abs(a - b) < SAME_SIZE_MM', reason: `${IMPLIED}a difference from undefined is NaN, below nothing` },
  { file: 'trade/charted-weights.ts', in: 'a !== undefined && b !== undefined', change: 'a !== undefined && b !== undefined → a !== undefined', reason: `${IMPLIED}a difference from undefined is NaN, below nothing` },
  { file: 'trade/charted-weights.ts', in: 'a !== undefined && b !== undefined', change: 'a !== undefined && b !== undefined → b !== undefined', reason: `${IMPLIED}a difference from undefined is NaN, below nothing` },
  { file: 'trade/colour-difference.ts', in: 'const grey = c1 * c2 === 0', change: '* → /', reason: `${SAME}of 0/0 and of x/0 the terms with hue are 0 as their chroma is` },
  { file: 'trade/colour-difference.ts', in: 'const grey = c1 * c2 === 0', change: '0 → 1', reason: `${SAME}the term of hue has √(c₁c₂) = 0 as a factor` },
  { file: 'trade/colour-difference.ts', in: 'const turn = grey ? 0', change: 'grey → false', reason: `${SAME}the term of hue has √(c₁c₂) = 0 as a factor` },
  { file: 'trade/colour-difference.ts', in: 'const turn = grey ? 0', change: '0 → 1', reason: `${SAME}the term of hue has √(c₁c₂) = 0 as a factor` },
  { file: 'trade/colour-difference.ts', in: 'const h = grey ? h1 + h2', change: 'grey → false', reason: `${SAME}without a turn of hue its mean weighs nothing` },
  { file: 'trade/colour-difference.ts', in: 'const h = grey ? h1 + h2', change: '+ → -', reason: `${SAME}without a turn of hue its mean weighs nothing` },
  { file: 'trade/colour-difference.ts', in: 'degrees < 0 ?', change: '< → <=', reason: `${SAME}0° and 360° are one hue` },
  { file: 'trade/colour-difference.ts', in: 'Math.abs(h1 - h2) <= 180', change: '<= → <', reason: 'hues exactly half a turn apart have two means; the standard takes either' },
  { file: 'trade/colour-difference.ts', in: 'sum < 360 ?', change: '< → <=', reason: `${SAME}0° and 360° are one hue` },
  { file: 'trade/colour-table.ts', in: 't > (6 / 29) ** 3 ?', change: '> → >=', reason: `${SAME}CIELAB's two parts meet there` },
  { file: 'trade/colour-table.ts', in: 'linear <= 0.0031308', change: 'linear <= 0.0031308 → false', reason: 'no alloy is as dark as 0.3 %' },
  { file: 'trade/colour-table.ts', in: 'linear <= 0.0031308', change: '<= → <', reason: 'no alloy is as dark as 0.3 %' },
  { file: 'trade/colour-table.ts', in: 'linear <= 0.0031308', change: '0.0031308 → 0.003240378', reason: 'no alloy is as dark as 0.3 %' },
  { file: 'trade/colour-table.ts', in: 'linear <= 0.0031308', change: '12.92 → 13.3722', reason: 'no alloy is as dark as 0.3 %' },
  { file: 'trade/colour-table.ts', in: 'linear <= 0.0031308', change: '* → /', nth: 1, reason: 'no alloy is as dark as 0.3 %' },
  { file: 'trade/money.ts', in: '.test(code) && Intl', change: "/^[A-Z]{3}$/.test(code) && Intl.supportedValuesOf('currency').includes(code) → Intl.supportedValuesOf('currency').includes(code)", reason: `${IMPLIED}ECMA-402 lists codes of three capitals only` },
  { file: 'trade/money.ts', in: 'maximumFractionDigits ?? 2', change: '2 → 3', reason: `${UNUSED}ECMA-402 always gives the digits; the type alone allows for none` },
  { file: 'trade/money.ts', in: 'toPrecision(12)', change: '12 → 13', reason: 'doubles err in the sixteenth digit: twelve and thirteen both drop it' },
  { file: 'trade/read-ring-size.ts', in: 'b.length - a.length', change: '- → +', reason: 'no mark that begins another is followed by what a size may begin with, so the order decides nothing' },
  { file: 'trade/ring-size.ts', in: 'index - whole >= 0.25', change: '>= → >', reason: 'letters have halves only' },
  { file: 'trade/ring-size.ts', in: 'index - whole >= 0.25', change: '0.25 → 0.25875', reason: 'letters have halves only' },
  { file: 'trade/read-ring-size.ts', in: 'const fraction = m[2]', change: '3 → 4', nth: 1, reason: 'numerator and denominator are there together' },
  { file: 'trade/read-ring-size.ts', in: 'size !== undefined && withinRange', change: 'size !== undefined && withinRange(system, size) → withinRange(system, size)', reason: `${IMPLIED}undefined is in no range` },
  { file: 'trade/read-ring-size.ts', in: 'number !== undefined && mayBeDiameter', change: 'number !== undefined && mayBeDiameter(number) → mayBeDiameter(number)', reason: `${IMPLIED}undefined is in no range` },
  { file: 'tracer/spectrum.ts', in: 'const FINE', change: '2800 → 2898', reason: 'the same integral in steps of 0.138 in place of 0.143 nm' },
  { file: 'trade/declared-stone.ts', in: "origin && origin !== 'natural'", change: "origin && origin !== 'natural' → origin !== 'natural'", reason: `${IMPLIED}no stone lists an origin that is none` },
  { file: 'trade/finishes.ts', in: 'wider(alphaX, marks?.slopeAlong', change: '0 → 1', reason: `${UNUSED}without marks α stays` },
  { file: 'trade/sieve-classes.ts', in: 'd >= END_MM', change: '>= → >', reason: 'a millionth of a mm is added before: no stone meets it' },
  { file: 'tracer/albedo-table.ts', in: 'for (let j = 0; j < rows', change: '< → <=', reason: 'a typed array takes nothing beyond its end' },
  { file: 'tracer/albedo-table.ts', in: 'for (let i = 0; i < columns', change: '< → <=', reason: 'what is written beyond a row is written anew by the next' },
  { file: 'setting/claw-rules.ts', in: 'other.claw.bend > least', change: '> → >=', reason: 'only a pair that can come no nearer than the nearest tells them apart' },
  { file: 'picture/srgb.ts', in: 'linear <= 0.0031308', change: '<= → <', reason: `${SAME}the curve's two parts meet there to 1e-8` },
  { file: 'picture/srgb.ts', in: 'code <= 0.04045', change: '<= → <', reason: `${SAME}the curve's two parts meet there to 1e-8` },
  { file: 'picture/srgb.ts', in: 'y < height', change: '< → <=', reason: 'typed arrays drop what is written past their end' },
  { file: 'picture/tone.ts', in: 'out: Rgb = [0, 0, 0]', change: '0 → 1', reason: `${UNUSED}all three are written` },
  { file: 'picture/tone.ts', in: 'least <= 2 * F90', change: '<= → <', reason: `${SAME}the toe meets the straight part` },
  { file: 'picture/tone.ts', in: 'peak <= START', change: '<= → <', reason: `${SAME}compression starts from the straight part` },
  { file: 'picture/tone.ts', in: 'pbrNeutral(white, white, white)[0]', change: '0 → 1', reason: `${SAME}white is grey: its channels are equal` },
  { file: 'picture/tone.ts', in: 'v > 0 ? Math.min', change: '> → >=', reason: `${SAME}0 either way` },
  { file: 'picture/tone.ts', in: 'v > 0 ? Math.min', change: '1e6 → 965000', reason: 'a stand-in for infinity: both show as white' },
  { file: 'picture/srgb.ts', in: 'Math.max(0, Math.min(65535', change: '0 → 1', nth: 1, reason: `${SAME}the first step above black rounds to 0 too` },
  { file: 'facts/metal-checks.ts', in: 'share === undefined && !cautions', change: "share === undefined && !cautions.some((text) => text.startsWith('Contains nickel')) → share === undefined", reason: 'every alloy with nickel has its composition: a test of the table holds that' },
  { file: 'facts/metal-checks.ts', in: 'share === undefined && !cautions', change: "share === undefined && !cautions.some((text) => text.startsWith('Contains nickel')) → !cautions.some((text) => text.startsWith('Contains nickel'))", reason: 'every alloy with nickel has its caution: a test of the table holds that' },
  { file: 'facts/metal-checks.ts', in: 'share === undefined', change: 'share === undefined → false', reason: 'every alloy with nickel has its composition: a test of the table holds that' },
  { file: 'facts/metal-checks.ts', in: 'digits: 2', change: '2 → 1', nth: 1, reason: 'no composition gives nickel to more than a tenth of a percent' },
  { file: 'facts/dress-checks.ts', in: 'letters && black(letters)', change: 'letters && black(letters) → black(letters)', reason: `${IMPLIED}no lane is named undefined` },
  { file: 'setting/between.ts', in: '([x]) => x >= at', change: '>= → >', reason: `${SAME}the lines meet at the table's points` },
  { file: 'setting/between.ts', in: 'if (above < 0) return', change: '< → <=', reason: `${IMPLIED}0 was returned for before` },
  { file: 'setting/between.ts', in: 'if (above < 0) return', change: '0 → 1', reason: `${IMPLIED}0 was returned for before` },
  { file: 'setting/bench-rules.ts', in: 'marginOf(finding) < marginOf(worst[i])', change: '< → <=', reason: 'of two sizes that are equally near either may be told' },
  { file: 'setting/bench-rules.ts', in: 'passed ? 0 : Number', change: 'passed → true', reason: `${UNUSED}every finding of a size has a margin` },
  { file: 'setting/bench-rules.ts', in: 'passed ? 0 : Number', change: 'passed → false', reason: `${UNUSED}every finding of a size has a margin` },
  { file: 'setting/bench-rules.ts', in: 'passed ? 0 : Number', change: '0 → 1', reason: `${UNUSED}every finding of a size has a margin` },
  { file: 'setting/bench-rules.ts', in: 'if (own === undefined) return found', change: 'own === undefined → false', reason: `${SAME}without a limit of the config the usual one is the same and is not told twice` },
  { file: 'setting/claw-rules.ts', in: 'POSITIVE_INFINITY, theta: 0', change: '0 → 1', reason: `${UNUSED}the first stone replaces it` },
  { file: 'setting/claw-rules.ts', in: 'bite < worst.bite', change: '< → <=', reason: 'of two stones that are held equally either may be told' },
  { file: 'setting/claw-rules.ts', in: 'if (share > deepest.share)', change: '> → >=', reason: 'only equal notches tell them apart: the same measure' },
  { file: 'setting/claw-rules.ts', in: 'Math.abs(z) < radius &&', change: '< → <=', reason: 'only a pin that just touches tells them apart: a measure of nothing' },
  { file: 'setting/claw-rules.ts', in: 'distance(frame.origin, point) < 2 * radius', change: '< → <=', reason: 'only a corner at exactly that distance tells them apart: a measure of nothing' },
  { file: 'setting/lane-rules.ts', in: 'under < thickness', change: '< → <=', reason: 'only equal walls tell them apart: a measure of nothing' },
  { file: 'setting/mark-rules.ts', in: 'measure(b) < measure(a)', change: '< → <=', reason: 'of equal marks either may be told' },
  { file: 'setting/stone-rules.ts', in: 'left(b) < left(a)', change: '< → <=', reason: 'of equal places either may be told' },
  { file: 'setting/stone-rules.ts', in: 'b.culetAbove < a.culetAbove', change: '< → <=', reason: 'of equal places either may be told' },
  { file: 'setting/stone-rules.ts', in: 'b.value < a.value', change: '< → <=', reason: 'of equal places either may be told' },
  { file: 'setting/stone-rules.ts', in: 'b.value > a.value', change: '> → >=', reason: 'of equal places either may be told' },
  { file: 'setting/stone-rules.ts', in: "facet === 'main' && n[2] < 0", change: '< → <=', reason: 'no main facet stands upright' },
  { file: 'setting/stone-rules.ts', in: 'passed: off <= 2', change: '<= → <', reason: 'only a bearing off by exactly 2° tells them apart: a measure of nothing' },
];

/** Below what anything is measured or made to: a part in a million and less. */
const TOLERANCE = 1e-5;
const HAS_TOLERANCE = /\d(\.\d+)?e-\d/;
const WEAKENED = ['< → <=', '<= → <', '> → >=', '>= → >'];

/** Why no test could tell a mutant from the code; undefined for all others. */
export function reasonOf(mutant: Mutant): string | undefined {
  const { from, text } = mutant;
  if (/^[\d.]+e-\d+$/.test(from) && Number(from) < TOLERANCE)
    return 'a tolerance of arithmetic, far below what is made or measured';
  if (WEAKENED.includes(told(mutant)) && HAS_TOLERANCE.test(text))
    return 'only a value that misses the limit by exactly the tolerance of arithmetic tells them apart';
  return rowOf(mutant)?.reason;
}

function rowOf(mutant: Mutant): Equivalent | undefined {
  const { file, text, nth } = mutant;
  return ROWS.find(
    (row) =>
      file.endsWith(row.file) &&
      text.includes(row.in) &&
      row.change === told(mutant) &&
      (row.nth === undefined || row.nth === nth),
  );
}

/** Rows that no mutant of the files asks for any more. */
export function stale(mutants: readonly Mutant[]): string[] {
  const used = new Set(mutants.map(rowOf));
  return ROWS.filter((row) => !used.has(row)).map((row) => `${row.file}: ${row.change} in ${row.in}`);
}
