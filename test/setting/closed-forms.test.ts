import { describe, expect, it } from 'vitest';
import { lanesOf } from '../../pipeline/band/lane.ts';
import { midRadius } from '../../pipeline/band/profile.ts';
import { rowCurve } from '../../pipeline/setting/row-curve.ts';
import { spreadRow } from '../../pipeline/setting/row-layout.ts';
import { cutStone } from '../../pipeline/setting/stone.ts';
import { wavyRowDesign } from './stone-designs.ts';

/** Complete elliptic integral E(m) by the arithmetic-geometric mean (dlmf.nist.gov/19.8, 19.8(i)). */
function ellipticE(m: number): number {
  let [a, b, sum, power] = [1, Math.sqrt(1 - m), m / 2, 1];
  while (Math.abs(a - b) > 1e-15) {
    const c = (a - b) / 2;
    [a, b] = [(a + b) / 2, Math.sqrt(a * b)];
    sum += power * c * c;
    power *= 2;
  }
  return (Math.PI / (2 * a)) * (1 - sum);
}

describe('closed forms', () => {
  it('E(m) of the reference’s own table: 1.5707963 at 0, 1.3506439 at 0.5, 1.1047747 at 0.9 (Abramowitz & Stegun, table 17.1, from memory)', () => {
    expect(ellipticE(0)).toBeCloseTo(1.5707963, 6);
    expect(ellipticE(0.5)).toBeCloseTo(1.3506439, 6);
    expect(ellipticE(0.9)).toBeCloseTo(1.1047747, 6);
  });

  it.each([
    [0.4, 4],
    [0.9, 6],
    [1.4, 3],
  ])(
    'a row on a sine of amplitude %f mm with %d waves is as long as the unrolled curve: 4 √(R² + a²n²) · E(m)',
    (amplitudeMm, periods) => {
      const wave = { kind: 'wave', amplitudeMm, periods, sharpness: 0, phaseRad: 0.3 } as const;
      const design = wavyRowDesign(
        {},
        {
          section: { name: 'flat', domeMm: 0, comfortMm: 0, edgeMm: 0.2, boreEdgeMm: 0.2 },
          seams: [
            { ...wave, atMm: -1 },
            { ...wave, atMm: 1 },
          ],
        },
      );
      const lane = lanesOf(design)[1];
      const radius = midRadius(lane.outer);
      const swing = (amplitudeMm * periods) ** 2;
      const length = 4 * Math.sqrt(radius ** 2 + swing) * ellipticE(swing / (radius ** 2 + swing));
      // so many tiny steps that a chord is its arc, but for h² κ² / 24
      const count = 1500;
      const layout = spreadRow(rowCurve(lane, 0), count, 0.01, { kind: 'full' }, 0.01);
      expect(layout!.closed).toBe(true);
      // the chords belong to the curve in space, whose unrolled length is the same
      expect(Math.abs((count * layout!.chord) / length - 1)).toBeLessThan(2e-5);
    },
  );

  // Trade lists of melee, round brilliants (two dealers' charts): diameter, least and most carats. Ours is the ideal
  // solid; the lists weigh deeper stones with thicker girdles, by 15–35 % below 2 mm.
  it.each([
    [1.0, 0.005, 0.005],
    [1.3, 0.01, 0.01],
    [1.5, 0.015, 0.015],
    [1.8, 0.025, 0.025],
    [2.0, 0.03, 0.035],
    [2.2, 0.04, 0.045],
    [2.5, 0.06, 0.065],
    [2.7, 0.08, 0.08],
    [3.0, 0.1, 0.11],
  ])('a diamond of %f mm weighs what the carat charts say, less what they add', (diameter, least, most) => {
    const carats = (cutStone('round-brilliant', diameter).solid.volumeMm3 * 3.52) / 200;
    expect(carats).toBeLessThan(most);
    expect(carats).toBeGreaterThan(least * (diameter < 2 ? 0.7 : 0.88));
  });
});
