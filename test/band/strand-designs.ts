import { expect } from 'vitest';
import { withPolishAllowance } from '../../pipeline/band/polish-allowance.ts';
import { strandsOf } from '../../pipeline/band/strand.ts';
import type { ShapeDesign } from '../../pipeline/plan/design.ts';
import type { StrandsDesign } from '../../pipeline/plan/strands-design.ts';
import { bandDesign } from './designs.ts';

export const LOOSE = { kind: 'clear', leastMm: 0.2 } as const;

/** Wires, loose in each other unless `strands` says otherwise, in the space of a flat band of 4 by 2.8 mm. */
export function wiresDesign(
  count: number,
  strands: Partial<StrandsDesign>,
  band: Partial<ShapeDesign> = {},
): ShapeDesign {
  const widthMm = band.widthMm ?? 4;
  return bandDesign({
    widthMm,
    thicknessMm: 2.8,
    section: { name: 'flat', domeMm: 0, comfortMm: 0, edgeMm: 0, boreEdgeMm: 0 },
    strands: { kind: 'twist', turns: 10, hand: 'right', between: LOOSE, ...strands },
    lanes: Array.from({ length: count }, (_, i) => ({ name: `wire-${i}`, recessMm: 0, softenMm: 0 })),
    seams: Array.from({ length: count - 1 }, (_, i) => ({
      kind: 'straight' as const,
      atMm: widthMm * ((i + 1) / count - 0.5),
    })),
    rows: [],
    chordToleranceMm: 0.004,
    ...band,
  });
}

/** A design with metal for polishing, whose wires are thicker by it on every side about the same middles. */
export function expectGrownWires(design: ShapeDesign, by: number): ShapeDesign {
  const grown = withPolishAllowance(design, by, []);
  const [before, after] = [strandsOf(design)!, strandsOf(grown)!];
  expect(after.wireMm).toBeCloseTo(before.wireMm + 2 * by, 9);
  for (const theta of [0, 0.4, 2]) {
    expect(after.curves[0].z(theta)).toBeCloseTo(before.curves[0].z(theta), 9);
    expect(after.curves[0].r(theta)).toBeCloseTo(before.curves[0].r(theta), 9);
  }
  return grown;
}
