/**
 * What a shop says of a band, by common description law. Not legal advice: local rules come first.
 *
 * Fineness stands right beside the metal (US 16 CFR 23.3), the declared origin right before the stone (23.12, 23.25;
 * ISO 18323), its treatments before that (23.24), a total weight is called a total, approximate, with its tolerance (23.18), and pictures are said to be
 * renderings whose scale is not true (23.1).
 */
import { type RowSide, rowSide } from '../plan/design.ts';
import type { CutName } from '../trade/cuts.ts';
import { type Language, tradeWords } from '../trade/words.ts';
import { type Locale, localeOf } from '../words/locale.ts';
import type { MetalColourName } from '../words/messages.ts';
import type { BandFacts } from './catalogue-schema.ts';

/** Calibrated small stones are bought to within this of their size, mm. Common practice. */
export const STONE_TOLERANCE_MM = 0.05;

/** Colour a buyer would call each alloy by, from its id in the table. */
const COLOURS: readonly (readonly [start: string, colour: MetalColourName])[] = [
  ['white-18-black', 'black'],
  ['tungsten', 'grey'],
  ['ceramic-black', 'black'],
  ['carbon', 'black'],
  ['enamel-black', 'black'],
  ['ceramic-white', 'white'],
  ['ceramic-grey', 'grey'],
  ['ceramic-blue', 'blue'],
  ['enamel-white', 'white'],
  ['enamel-red', 'red'],
  ['enamel-blue', 'blue'],
  ['enamel-green', 'green'],
  ['resin-ivory', 'ivory'],
  ['resin-turquoise', 'turquoise'],
  ['resin-coral', 'coral'],
  ['wood-ebony', 'black'],
  ['wood', 'brown'],
  ['mokume', 'multicoloured'],
  ['damask', 'grey'],
  ['yellow', 'yellow'],
  ['rose', 'rose'],
  ['green', 'green'],
  ['white', 'white'],
  ['platinum', 'white'],
  ['palladium', 'white'],
  ['silver-925-gilt', 'yellow'],
  ['silver', 'silver'],
  ['zirconium-black', 'black'],
  ['titanium', 'grey'],
  ['tantalum', 'grey'],
];

const ENGLISH = localeOf('en');

/** Undefined for an alloy of no known colour. */
export function colourName(alloy: string, { messages }: Locale = ENGLISH): string | undefined {
  const colour = COLOURS.find(([start]) => alloy.startsWith(start))?.[1];
  return colour && messages.wording.colours[colour];
}

/** Colours of a band's metals, each once, the heaviest first. */
export function bandColours(band: BandFacts, locale: Locale = ENGLISH): string[] {
  return distinct(byMass(band).flatMap((m) => colourName(m.alloy, locale) ?? []));
}

/** Alloys with their fineness, the heaviest first. */
export function bandMetals(band: BandFacts): string[] {
  return distinct(byMass(band).map((m) => m.name));
}

/** Alloys, then stones with their declared origin. */
export function bandMaterials(band: BandFacts): string[] {
  return [...bandMetals(band), ...distinct(band.rows.map((r) => r.label))];
}

function byMass(band: BandFacts): BandFacts['metals'] {
  return [...band.metals].sort((a, b) => b.massG - a.massG);
}

function distinct(items: readonly string[]): string[] {
  return [...new Set(items)];
}

/** Least and most total weight if every stone is within the tolerance of its size: weight goes with the cube. */
export function caratRange(band: BandFacts): { least: number; most: number } {
  const total = (sign: number) =>
    band.rows.reduce((sum, r) => {
      const across = 1 + (sign * STONE_TOLERANCE_MM) / r.diameterMm;
      const along = 1 + (sign * STONE_TOLERANCE_MM) / (r.lengthMm ?? r.diameterMm);
      return sum + r.carats * across ** 2 * along;
    }, 0);
  return { least: total(-1), most: total(1) };
}

/** Told without plurals: count, declared name, cut and true size; then the total. */
function stonesLine(band: BandFacts, locale: Locale): string | undefined {
  if (band.stoneCount === 0) return undefined;
  const { wording } = locale.messages;
  const rows = band.rows.map((r) => {
    const size =
      r.lengthMm === undefined
        ? mm(r.diameterMm, locale)
        : wording.by(mm(r.lengthMm, locale), mm(r.diameterMm, locale));
    const cut = cutName(r.cut, locale.language);
    const words = wording.stone(
      String(r.count),
      r.label,
      cut,
      size,
      locale.number(r.carats, r.carats < 0.1 ? 3 : 2),
    );
    return setFrom(words, r, locale);
  });
  const { least, most } = caratRange(band);
  const [total, low, high] = [band.totalCarats, least, most].map((c) => locale.number(c, 2));
  return wording.stones(rows.join('; '), total, low, high, mm(STONE_TOLERANCE_MM, locale));
}

export function cutName(cut: string, language: Language): string {
  return tradeWords(language).cut(cut as CutName);
}

/** One line for lists: metals, stones with origin, width. Sizes are a field of their own. */
export function bandTitle(band: BandFacts, locale: Locale = ENGLISH): string {
  const { wording } = locale.messages;
  const stones = wording.and(distinct(band.rows.map((r) => r.label)));
  const width = widthText(band, locale);
  return wording.title(wording.and(bandMetals(band)), stones || undefined, width);
}

export function bandDescription(band: BandFacts, locale: Locale = ENGLISH): string {
  const { wording } = locale.messages;
  return [
    wording.made(wording.and(bandMetals(band))),
    wording.measures(
      widthText(band, locale),
      topAndBack(band.thicknessMm, band.back?.thicknessMm, locale),
      mm(band.innerDiameterMm, locale),
      `${locale.number(band.metalMassG, 1)} g`,
    ),
    stonesLine(band, locale),
    wording.renderings,
  ]
    .filter((line) => line !== undefined)
    .join(' ');
}

/** The width; of a band with an outline the least and the greatest. */
function widthText({ widthMm, back, outline }: BandFacts, locale: Locale): string {
  if (!outline) return topAndBack(widthMm, back?.widthMm, locale);
  const [least, most] = [outline.leastWidthMm, outline.mostWidthMm].map((width) => mm(width, locale));
  return least === most ? least : locale.messages.wording.widths(least, most);
}

/** A measure, of a tapered band at its top and its back. */
function topAndBack(top: number, back: number | undefined, locale: Locale): string {
  const text = mm(top, locale);
  return back === undefined || back === top ? text : locale.messages.wording.atBack(text, mm(back, locale));
}

function mm(value: number, locale: Locale): string {
  return `${locale.number(value, 0, 2)} mm`;
}

/** Of a row's name in facts without the size that tells its stones apart. */
export const rowName = (name: string) => name.split(' ')[0];

/** From which side a row of the design has its stones set. */
export const sideOfRow = ({ rows }: Pick<BandFacts, 'rows'>, row: string): RowSide =>
  rowSide(rows.find(({ name }) => rowName(name) === row) ?? {});

/** Words of stones with where they are set, but for the outside. */
export function setFrom(
  words: string,
  { inside, face }: Pick<BandFacts['rows'][number], 'inside' | 'face'>,
  { messages: { wording } }: Locale,
): string {
  if (inside) return wording.inBore(words);
  return face ? wording.inFace(words) : words;
}

/** What one stone fewer and one more would change, a line each. */
export function fitSteps(
  { fewer, more }: NonNullable<BandFacts['fits']>[number],
  locale: Locale = ENGLISH,
): string[] {
  return [fewer, more].flatMap((step) => {
    if (!step) return [];
    const gap = step.gapMm === null ? undefined : locale.number(step.gapMm, 3);
    return [locale.messages.bench.fitWords.step(step.count, step.fits, gap, step.why)];
  });
}
