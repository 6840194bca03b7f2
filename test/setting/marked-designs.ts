import type { ShapeDesign } from '../../pipeline/plan/design.ts';
import type { EngravingDesign } from '../../pipeline/plan/engraving-design.ts';
import type { GrooveDesign, MilgrainDesign } from '../../pipeline/plan/seam-design.ts';
import { bandDesign } from '../band/designs.ts';

/** Letters at the bottom of the bore; every test states what differs. */
export function lettersDesign(change: Partial<EngravingDesign> = {}): EngravingDesign {
  return { text: 'OI8', heightMm: 1.5, depthMm: 0.2, style: 'regular', atRad: Math.PI, ...change };
}

/** A flat band, 54 mm of bore, 5 by 1.8 mm, sharp edges. */
export function plainBand(change: Partial<ShapeDesign> = {}): ShapeDesign {
  return bandDesign({ widthMm: 5, thicknessMm: 1.8, chordToleranceMm: 0.01, ...change });
}

/** The same in two lanes of one height, with marks along the seam between them. */
export function seamedBand(
  marks: { milgrain?: MilgrainDesign; groove?: GrooveDesign },
  change: Partial<ShapeDesign> = {},
): ShapeDesign {
  return plainBand({
    seams: [{ kind: 'straight', atMm: 0.4, marks: { seam: 'mid', ...marks } }],
    lanes: [
      { name: 'near', recessMm: 0, softenMm: 0 },
      { name: 'far', recessMm: 0, softenMm: 0 },
    ],
    ...change,
  });
}
