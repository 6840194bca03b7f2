/**
 * What a shop says of a band, by common description law. Not legal advice: local rules come first.
 *
 * Fineness stands right beside the metal (US 16 CFR 23.3), the declared origin right before the stone (23.12, 23.25;
 * ISO 18323), a total weight is called a total, approximate, with its tolerance (23.18), and pictures are said to be
 * renderings whose scale is not true (23.1).
 */
import { CUTS, type CutName } from '../trade/cuts.ts';
import type { BandFacts } from './catalogue-schema.ts';

/** Calibrated small stones are bought to within this of their size, mm. Common practice. */
export const STONE_TOLERANCE_MM = 0.05;

export const RENDERINGS =
  'Pictures are computer renderings, shown larger than life; the sizes in millimetres are the true ones.';

/** Colour a buyer would call each alloy by, from its id in the table. */
const COLOURS: readonly (readonly [start: string, colour: string])[] = [
  ['yellow', 'yellow'],
  ['rose', 'rose'],
  ['green', 'green'],
  ['white', 'white'],
  ['platinum', 'white'],
  ['palladium', 'white'],
  ['silver', 'silver'],
  ['zirconium-black', 'black'],
  ['titanium', 'grey'],
  ['tantalum', 'grey'],
];

/** Undefined for an alloy of no known colour. */
export function colourName(alloy: string): string | undefined {
  return COLOURS.find(([start]) => alloy.startsWith(start))?.[1];
}

/** Colours of a band's metals, each once, the heaviest first. */
export function bandColours(band: BandFacts): string[] {
  return distinct(byMass(band).flatMap((m) => colourName(m.alloy) ?? []));
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
function stonesLine(band: BandFacts): string | undefined {
  if (band.stoneCount === 0) return undefined;
  const rows = band.rows.map((r) => {
    const cut = CUTS.get(r.cut as CutName)?.label.toLowerCase() ?? r.cut;
    const size =
      r.lengthMm === undefined ? `${mm(r.diameterMm)}` : `${mm(r.lengthMm)} by ${mm(r.diameterMm)}`;
    return `${r.count} × ${r.label}, ${cut}, ${size} each`;
  });
  const { least, most } = caratRange(band);
  return (
    `Stones: ${rows.join('; ')}. Total weight of all stones approx. ${band.totalCarats.toFixed(2)} ct, computed and not ` +
    `weighed: ${least.toFixed(2)} to ${most.toFixed(2)} ct if each stone is within ${STONE_TOLERANCE_MM} mm of its size. ` +
    'A weight stated as exact must hold to its last decimal place.'
  );
}

/** One line for lists: metals, stones with origin, width. Sizes are a field of their own. */
export function bandTitle(band: BandFacts): string {
  const stones = distinct(band.rows.map((r) => r.label)).join(' and ');
  return `Wedding band, ${bandMetals(band).join(' and ')}${stones ? `, set with ${stones}` : ''}, ${widthWording(band)}`;
}

export function bandDescription(band: BandFacts): string {
  const bore = `${mm(band.innerDiameterMm)} inside diameter`;
  return [
    `Wedding band of ${bandMetals(band).join(' and ')}.`,
    `${widthWording(band)}, ${thicknessWording(band)}, ${bore}; metal approx. ${band.metalMassG.toFixed(1)} g before polishing.`,
    stonesLine(band),
    RENDERINGS,
  ]
    .filter((line) => line !== undefined)
    .join(' ');
}

/** Width, of a tapered band at its top and its back. */
export function widthWording({ widthMm, back }: Pick<BandFacts, 'widthMm' | 'back'>): string {
  return `${topAndBack(widthMm, back?.widthMm)} wide`;
}

export function thicknessWording({ thicknessMm, back }: Pick<BandFacts, 'thicknessMm' | 'back'>): string {
  return `${topAndBack(thicknessMm, back?.thicknessMm)} thick`;
}

function topAndBack(top: number, back = top): string {
  return back === top ? mm(top) : `${mm(top)} (${mm(back)} at the back)`;
}

function mm(value: number): string {
  return `${Number(value.toFixed(2))} mm`;
}

/** What one stone fewer and one more would change, a line each. */
export function fitSteps({ fewer, more }: NonNullable<BandFacts['fits']>[number]): string[] {
  return [fewer, more].flatMap((step) => {
    if (!step) return [];
    const gap = step.gapMm === null ? '' : ` gap ${step.gapMm.toFixed(3)} mm`;
    return [`${step.count} stones ${step.fits ? 'would fit' : 'do not fit'}:${gap}${gap && ','} ${step.why}`];
  });
}
