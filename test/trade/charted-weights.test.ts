import { describe, expect, it } from 'vitest';
import { boughtCarats, chartedCarats } from '../../pipeline/trade/charted-weights.ts';
import { caratsOf } from '../../pipeline/trade/mass.ts';

const DIAMOND = { id: 'diamond', density: 3.52 };

/** Sieve chart of another dealer: middle of the band of diameters mm, carats (diamondconsultants.in/knowledge_centre.php). */
const SIEVES: [diameter: number, carats: number][] = [
  [1.0, 0.005],
  [1.125, 0.006],
  [1.175, 0.007],
  [1.325, 0.01],
  [1.425, 0.012],
  [1.525, 0.014],
  [1.65, 0.018],
  [1.75, 0.021],
  [1.85, 0.025],
  [1.95, 0.029],
  [2.15, 0.039],
  [2.45, 0.058],
  [2.75, 0.078],
  [2.95, 0.095],
  [3.25, 0.125],
  [3.45, 0.146],
];

/** diamondinhouse.com/blogs/diamonds/diamond-carat-weight. */
const HOUSE: [diameter: number, carats: number][] = [
  [1.1, 0.0066],
  [1.2, 0.0086],
  [1.4, 0.0136],
  [1.5, 0.0145],
  [1.6, 0.0188],
  [1.7, 0.0211],
  [1.8, 0.0267],
];

describe('weights of small brilliants', () => {
  it.each([...SIEVES, ...HOUSE])('%s mm agrees with charts of other houses', (diameter, carats) => {
    expect(chartedCarats(diameter, 3.52)! / carats).toBeGreaterThan(0.86);
    expect(chartedCarats(diameter, 3.52)! / carats).toBeLessThan(1.16);
  });

  it('the solid that is drawn weighs 14 to 27 % less between 1.0 and 1.8 mm, so the chart is charged', () => {
    for (const diameterMm of [1, 1.1, 1.2, 1.3, 1.4, 1.5, 1.6, 1.7, 1.8]) {
      // table 57 %, crown 34.5°, pavilion 40.75°, girdle 3 %: V = 0.2096 d³
      const solid = caratsOf(0.2096 * diameterMm ** 3, 3.52);
      const { carats, from } = boughtCarats(DIAMOND, { cut: 'round-brilliant', diameterMm }, solid);
      expect(from).toBe('chart');
      expect(1 - solid / carats).toBeGreaterThan(0.13);
      expect(1 - solid / carats).toBeLessThan(0.27);
    }
  });

  it('grows with the diameter without a step, and holds its printed values', () => {
    for (let d = 0.8; d < 3.99; d += 0.01)
      expect(chartedCarats(d + 0.01, 3.52)).toBeGreaterThan(chartedCarats(d, 3.52)!);
    expect(chartedCarats(1.3, 3.52)).toBeCloseTo(0.01, 12);
    expect(chartedCarats(4, 3.52)).toBeCloseTo(0.25, 12);
    expect(chartedCarats(0.8, 3.52)).toBeCloseTo(0.0035, 12);
  });

  it('weighs other species by their density, and leaves other cuts and sizes to their solids', () => {
    expect(chartedCarats(1.5, 4)! / chartedCarats(1.5, 3.52)!).toBeCloseTo(4 / 3.52, 12);
    expect(chartedCarats(0.7, 3.52)).toBeUndefined();
    expect(chartedCarats(4.1, 3.52)).toBeUndefined();
    const solid = (cut: string, diameterMm: number) => boughtCarats(DIAMOND, { cut, diameterMm }, 0.3).from;
    expect([solid('princess', 1.5), solid('single-cut', 1.2), solid('round-brilliant', 4.4)]).toEqual([
      'solid',
      'solid',
      'solid',
    ]);
  });

  it('takes a supplier’s figure for the same stone, cut and size, and for no other', () => {
    const supplied = [
      { stone: 'diamond', cut: 'round-brilliant', diameterMm: 1.3, carats: 0.0111 },
      { stone: 'diamond', cut: 'baguette', diameterMm: 1.5, lengthMm: 3, carats: 0.06 },
    ];
    const of = (cut: string, diameterMm: number, lengthMm?: number, id = 'diamond') =>
      boughtCarats({ id, density: 3.52 }, { cut, diameterMm, ...(lengthMm && { lengthMm }) }, 0.5, supplied);
    expect(of('round-brilliant', 1.3)).toEqual({ carats: 0.0111, from: 'supplier' });
    expect(of('baguette', 1.5, 3)).toEqual({ carats: 0.06, from: 'supplier' });
    expect(of('baguette', 1.5, 2.5).from).toBe('solid');
    expect(of('round-brilliant', 1.35).from).toBe('chart');
    expect(of('round-brilliant', 1.3, undefined, 'ruby').from).toBe('chart');
  });
});
