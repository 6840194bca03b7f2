import * as z from 'zod';
import { ALLOYS } from '../trade/alloys.ts';
import type { Pattern } from '../trade/matter.ts';
import { length } from './measure.ts';
import { oneOf, strict } from './strict-object.ts';

const seed = z.int().min(0).max(999999).default(1).describe('another number, another piece');

/** How the sheets of a layered metal lie in a lane that wears one. */
export const layersSchema = strict({
  stack: length(0.05, 3)
    .optional()
    .describe(
      'two sheets together, one of each metal; as is usual for the metal if left out, like all below',
    ),
  turns: z
    .int()
    .min(0)
    .max(60)
    .optional()
    .describe('whole turns by which each bar is twisted round the ring; 0: sheets lie along the bore'),
  bar: length(0, 10).optional().describe('width of the bars that lie beside each other; 0 mm for one bar'),
  bend: length(0, 2).optional().describe('how far punch and hammer bend the sheets'),
  'bend-length': length(0.2, 20).optional().describe('from one such bend to the next'),
  seed,
}).describe('how sheets lie where the lane’s alloy is a layered metal, such as mokume or damask steel');

/** How the wood of a lane that is made of it is cut. */
export const grainSchema = strict({
  fibre: oneOf(['through', 'round'])
    .default('through')
    .describe('through: turned from a plank; round: bent round the ring, which is stronger'),
  ring: length(0.2, 10).optional().describe('from year to year; as is usual for the wood if left out'),
  pith: length(0, 100)
    .optional()
    .describe('distance of the middle of the tree, along the finger; 18 mm if left out'),
  seed,
}).describe('how the lane is cut from the tree where its alloy is a wood');

interface Patterned {
  layers?: z.output<typeof layersSchema>;
  grain?: z.output<typeof grainSchema>;
}

/** The solid pattern of a lane in an alloy; null where that is alike all through. */
export function lanePattern(alloy: string, { layers, grain }: Patterned): Pattern | null {
  const row = ALLOYS.get(alloy);
  if (row?.layers) {
    const { usual } = row.layers;
    return {
      ...usual,
      stackMm: layers?.stack ?? usual.stackMm,
      turns: layers?.turns ?? usual.turns,
      barMm: layers?.bar ?? usual.barMm,
      bendMm: layers?.bend ?? usual.bendMm,
      bendLengthMm: layers?.['bend-length'] ?? usual.bendLengthMm,
      seed: layers?.seed ?? usual.seed,
    };
  }
  if (!row?.grain) return null;
  return {
    ...row.grain,
    ringMm: grain?.ring ?? row.grain.ringMm,
    pithMm: grain?.pith ?? row.grain.pithMm,
    round: grain?.fibre === 'round',
    seed: grain?.seed ?? row.grain.seed,
  };
}
