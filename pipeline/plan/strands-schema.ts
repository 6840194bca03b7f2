import { z } from 'zod';
import type { Findings, Locate } from './findings.ts';
import { length } from './measure.ts';
import type { StrandsDesign } from './strands-design.ts';
import { oneOf, strict } from './strict-object.ts';
import type { Template } from './template-schema.ts';

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
}).describe(
  'wires over and under each other, one for each lane, in the space of width and thickness; in place of seams',
);

export type StrandsFields = z.output<typeof strandsSchema>;

/** @param circumferenceMm of the bore */
export function strandsDesign(
  { kind, turns, pitch, hand, wire, overlap, clearance }: StrandsFields,
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
  };
}

/** What has no place on wires. */
const NOT_WITH_STRANDS = ['taper', 'outline', 'flat', 'engraving', 'edges'] as const;

const COUNTS = { twist: [2, 3, 4, 5], braid: [3, 5] } as const;

/** Reports what strands do not go with. */
export function checkStrands(template: Template, findings: Findings, locate: Locate): void {
  const { strands } = template;
  if (!strands) return;
  const wrong = (path: string[], expected: string, received: string, advice: string) =>
    findings.add({ code: 'strands-conflict', path, expected, received, advice }, locate);
  const lanes = Object.entries(template.lanes);
  const counts: readonly number[] = COUNTS[strands.kind];
  if (!counts.includes(lanes.length)) {
    const advice = 'Add or remove a lane: each is one wire.';
    wrong(['lanes'], `${counts.join(', ')} lanes for a ${strands.kind}`, `${lanes.length}`, advice);
  }
  if (strands.turns === undefined && strands.pitch === undefined)
    wrong(['strands'], '"turns" or "pitch"', 'neither', 'Say how often they wind.');
  if (strands.turns !== undefined && strands.pitch !== undefined)
    wrong(['strands', 'pitch'], '"turns" or "pitch"', 'both', 'Leave one of them out.');
  const others = NOT_WITH_STRANDS.filter((key) => template[key] !== undefined);
  const many = (['seams', 'rows', 'gaps'] as const).filter((key) => Object.keys(template[key]).length > 0);
  for (const key of [...others, ...many])
    wrong(
      [key],
      'nothing that asks for a surface of the band',
      `"${key}"`,
      `Leave "${key}" or "strands" out.`,
    );
  if (template.section.name !== 'flat') {
    const advice = 'The wires fill the space of a flat section.';
    wrong(['section', 'name'], '"flat"', `"${template.section.name}"`, advice);
  }
  for (const [name, lane] of lanes) {
    for (const key of ['hammer', 'texture', 'facets', 'inlay'] as const)
      if (lane[key]) wrong(['lanes', name, key], 'a plain wire', `"${key}"`, `Leave "${key}" out.`);
    if (lane.recess > 0) wrong(['lanes', name, 'recess'], '0', `${lane.recess} mm`, 'Leave "recess" out.');
  }
}
