/** Stones as a catalogue must name them, with what was declared of them. */
import { STONES, type StoneOrigin } from './stones.ts';

/**
 * What was done to a stone beside cutting and polishing it. Like the origin it shows in no picture and must be said
 * (US 16 CFR 23.24, once 23.22: themelis.com/Education-FTC.html), so stones that usually are treated need a word in the config.
 */
export const TREATMENTS = [
  'untreated',
  'heated',
  'oiled',
  'irradiated',
  'filled',
  'diffusion-treated',
  'coated',
  'undetermined',
] as const;
export type Treatment = (typeof TREATMENTS)[number];

/** Alone they say everything: nothing was done, or nobody has found out. */
export const LONE_TREATMENTS: readonly Treatment[] = ['untreated', 'undetermined'];

/** Short form for SKUs: `DIA` is mined, `LGD` grown, `LG` before the others that are grown. */
export function stoneSlug(id: string, origin: StoneOrigin | undefined): string {
  const slug = STONES.get(id)?.slug ?? id;
  // moissanite is grown whatever it is called, so its short form needs no word for it
  if (origin !== 'laboratory-grown' || !STONES.get(id)?.origins.includes('natural')) return slug;
  return id === 'diamond' ? 'LGD' : `LG${slug}`;
}

/**
 * Name of a stone as a catalogue must print it: `heated natural ruby`, `laboratory-grown diamond`,
 * `cubic zirconia (simulant)`. Not legal advice; local rules decide.
 * @throws RangeError for an origin that the table's values do not hold for
 */
export function declaredStone(
  id: string,
  origin: StoneOrigin,
  treatments: readonly Treatment[] = [],
): string {
  const s = STONES.get(id);
  if (!s) throw new RangeError(`no stone is named ${id}; known: ${[...STONES.keys()].join(', ')}`);
  if (!s.origins.includes(origin)) throw new RangeError(`${id} cannot be declared ${origin}`);
  const name = s.label.toLowerCase();
  return treatedName(origin === 'simulant' ? `${name} (simulant)` : `${origin} ${name}`, treatments);
}

function treatedName(name: string, treatments: readonly Treatment[]): string {
  if (treatments.includes('undetermined')) return `${name} (treatment undetermined)`;
  return [treatments.join(' and '), name].filter(Boolean).join(' ');
}

/** Name for a choice: no word for a mined stone, which its bare name means; any other origin and treatment is told. */
export function chosenStone(
  id: string,
  origin: StoneOrigin | undefined,
  treatments: readonly Treatment[] = [],
): string {
  const stone = STONES.get(id);
  if (!stone) return id;
  return origin && origin !== 'natural' && stone.origins.includes(origin)
    ? declaredStone(id, origin, treatments)
    : treatedName(stone.label.charAt(0).toLowerCase() + stone.label.slice(1), treatments);
}
