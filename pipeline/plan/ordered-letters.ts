import type { Place } from '../problem.ts';
import type { ShapeDesign } from './design.ts';
import type { EngravingDesign, EngravingsDesign } from './engraving-design.ts';
import { usualLetters } from './marks-template.ts';

/** A line of letters that an order has cut into a band, and the cell that says it. Personal. */
export interface OrderedLetters {
  side: 'inside' | 'outside';
  text: string;
  column: string;
  place: Place;
}

/**
 * A design with an order's letters in place of its own of that side. Where, how high and how deep comes from the design,
 * else from the place that the template gives, else from the schema: in the bore opposite the top, outside on the only
 * lane that letters can be cut into.
 * @returns the lanes that come into question where several do, or none
 */
export function engravedDesign(
  design: ShapeDesign,
  places: EngravingsDesign | undefined,
  letters: readonly OrderedLetters[],
): ShapeDesign | { free: string[] } {
  const engraving: EngravingsDesign = { ...design.engraving };
  for (const { side, text } of letters) {
    if (side === 'inside') {
      const own = engraving.inside ?? places?.inside ?? usualLetters('inside', '', design.widthMm).inside!;
      engraving.inside = { ...withoutDrawing(own), text };
      continue;
    }
    const own = engraving.outside ?? places?.outside;
    const free = freeLanes(design);
    if (!own && free.length !== 1) return { free };
    engraving.outside = {
      ...withoutDrawing(own ?? usualLetters('outside', free[0], design.widthMm).outside!),
      text,
    };
  }
  return { ...design, engraving };
}

/** A couple’s words stand in place of what the design has there. */
function withoutDrawing<E extends EngravingDesign>({ drawing: _, ...letters }: E): Omit<E, 'drawing'> {
  return letters;
}

/** Lanes with nothing on them that letters would cut through. */
function freeLanes({ lanes, rows }: ShapeDesign): string[] {
  return lanes
    .filter((lane) => !lane.hammer && !lane.texture && !lane.facets)
    .filter(({ name }) => !rows.some((row) => row.lane === name))
    .map(({ name }) => name);
}
