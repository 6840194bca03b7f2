import * as z from 'zod';
import { length } from './measure.ts';
import type { StrandsDesign } from './strands-design.ts';
import { oneOf, strict } from './strict-object.ts';

export const strandsSchema = strict({
  kind: oneOf(['twist', 'braid']).describe(
    'twist: 2 to 5 wires wound about the middle of the band; braid: 3 or 5 plaited ones',
  ),
  turns: z
    .int()
    .min(2)
    .max(60)
    .optional()
    .describe('of each wire, or repeats of the plait, all round; from the pitch if left out'),
  pitch: length(1, 60)
    .optional()
    .describe('length of one turn along the middle of the band: whole turns come as near as they can'),
  hand: oneOf(['right', 'left']).default('right').describe('which way they wind'),
  wire: length(0.4, 5)
    .optional()
    .describe('diameter of the wires; what width, thickness, overlap and clearance leave if left out'),
  overlap: length(0.02, 1)
    .default(0.1)
    .describe('how deep wires run into each other where they touch, so that they are one casting'),
  clearance: length(0.05, 2)
    .optional()
    .describe('least air between the wires, which then are loose in each other; joined if left out'),
  liner: strict({
    thickness: length(0.4, 4).describe('of the liner’s wall; wires have the rest of the band’s thickness'),
    margin: length(0, 4).default(0).describe('by which it stands out on both sides of the wires'),
    edge: length(0, 1).default(0.15).describe('radius of its edges, outside and at the bore'),
  })
    .optional()
    .describe(
      'a plain sleeve inside the wires, as wide as the band: the first lane; the wires run into it by the overlap',
    ),
}).describe(
  'wires over and under each other, one for each lane, in the space of width and thickness; in place of seams',
);

export type StrandsFields = z.output<typeof strandsSchema>;

/** @param circumferenceMm of the bore */
export function strandsDesign(
  { kind, turns, pitch, hand, wire, overlap, clearance, liner }: StrandsFields,
  circumferenceMm: number,
  thicknessMm: number,
): StrandsDesign {
  const middle = circumferenceMm + Math.PI * thicknessMm;
  return {
    kind,
    turns: turns ?? Math.max(2, Math.round(middle / (pitch ?? 6))),
    hand,
    ...(wire !== undefined && { wireMm: wire }),
    between:
      clearance === undefined
        ? { kind: 'joined', overlapMm: overlap }
        : { kind: 'clear', leastMm: clearance },
    ...(liner && { liner: { thicknessMm: liner.thickness, marginMm: liner.margin, edgeMm: liner.edge } }),
  };
}
