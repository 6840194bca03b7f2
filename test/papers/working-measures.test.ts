import { describe, expect, it } from 'vitest';
import { stonesToOrder } from '../../pipeline/papers/stone-list.ts';
import { markedAngles, workingMeasures } from '../../pipeline/papers/working-measures.ts';
import { sieveClass } from '../../pipeline/trade/sieve-classes.ts';
import { bandDesign, wavyDesign } from '../band/designs.ts';
import { straightRowDesign } from '../setting/stone-designs.ts';

describe('measures to work by', () => {
  it('tell where a wave runs, from the first edge, by its own formula', () => {
    const design = wavyDesign();
    const [seam] = design.seams;
    if (seam.kind !== 'wave') throw new RangeError('a wave is wanted');
    const { seams, lanes } = workingMeasures(design);
    const edge = design.widthMm / 2;
    expect(seams[0].most).toBeCloseTo(edge + seam.atMm + seam.amplitudeMm, 6);
    expect(seams[0].least).toBeCloseTo(edge + seam.atMm - seam.amplitudeMm, 6);
    // the two lanes share the width at every angle
    expect(lanes[0].most + lanes[1].least).toBeCloseTo(design.widthMm, 6);
    expect(lanes[0].mostAt).toBeCloseTo(lanes[1].leastAt, 6);
    // marked where one wave runs, and not at one height of all of them
    expect(seams[0].repeats).toBe(seam.periods);
    const { at } = seams[0];
    for (const [i, theta] of markedAngles(seam.periods).entries()) {
      expect(theta).toBeCloseTo((i * 2 * Math.PI) / (12 * seam.periods), 12);
      const sine = Math.sin(seam.periods * theta + seam.phaseRad);
      expect(Math.sign(at[i] - edge - seam.atMm)).toBe(Math.abs(sine) < 1e-9 ? 0 : Math.sign(sine));
    }
    expect(Math.max(...at) - Math.min(...at)).toBeGreaterThan(1.7 * seam.amplitudeMm);
  });

  it('tell the blank of a flat band only, half a millimetre more for a wide one', () => {
    // riogrande.com, Measuring a ring blank: π · (d + t)
    const flat = bandDesign({ widthMm: 4, thicknessMm: 2, circumferenceMm: 54 });
    expect(workingMeasures(flat).blank?.lengthMm).toBeCloseTo(54 + 2 * Math.PI, 9);
    expect(workingMeasures({ ...flat, widthMm: 6 }).blank?.lengthMm).toBeCloseTo(54.5 + 2 * Math.PI, 9);
    const comfort = { ...flat, section: { ...flat.section, comfortMm: 0.2 } };
    expect(workingMeasures(comfort).blank).toBeUndefined();
    // a strip of one width bends to no band whose width changes
    const tapered = { ...flat, taper: { widthMm: 3, thicknessMm: 1.6, seams: [] } };
    expect(workingMeasures(tapered).blank).toBeUndefined();
  });

  it('place stones of a level row at equal angles, in the order in which they are drawn', () => {
    const design = straightRowDesign();
    const { stones, seats, holds } = workingMeasures(design);
    const middle = stones[0].fromEdgeMm;
    const step = stones[1].theta - stones[0].theta;
    for (const [i, stone] of stones.entries()) {
      expect(stone.number).toBe(i + 1);
      expect(stone.fromEdgeMm).toBeCloseTo(middle, 6);
      const turn = (stone.theta - stones[0].theta - i * step) / (2 * Math.PI);
      expect(turn).toBeCloseTo(Math.round(turn), 6);
      expect(stone.alongMm * stones[1].theta).toBeCloseTo(stones[1].alongMm * stone.theta, 6);
    }
    // a seat is wider than its stone, its hole narrower, and the bearing lies between girdle and culet
    expect(seats[0].opening[0]).toBeGreaterThan(stones[0].diameterMm);
    expect(seats[0].hole?.[0]).toBeLessThan(stones[0].diameterMm);
    expect(seats[0].bearing[1]).toBeGreaterThan(seats[0].bearing[0]);
    // straight unless it is azured, which is told of the bore
    expect(seats[0].azure).toBeUndefined();
    const [azured] = workingMeasures(straightRowDesign({ azureShare: 0.85, holeShare: 0.4 })).seats;
    expect(azured.azure?.[0]).toBeGreaterThan(azured.hole![0] + 0.06);
    expect(azured.azure?.[0]).toBeLessThanOrEqual(0.85 * stones[0].diameterMm + 1e-9);
    // girdles lie below the metal, so that claws stand less out of it than over them
    for (const hold of holds)
      if (hold.kind === 'claws') expect(hold.overGirdleMm).toBeGreaterThan(hold.overMetalMm);
  });
});

describe('stones to have in hand', () => {
  it('are whole stones, never fewer than asked', () => {
    expect(stonesToOrder(30, 0.1)).toBe(33);
    expect(stonesToOrder(31, 0.1)).toBe(35);
    expect(stonesToOrder(9, 0)).toBe(9);
  });

  it('are sorted between plates as a trade chart has them', () => {
    // a second chart, gurudiam.com and diamondinhouse.com: 1.70 mm lies over plate 6, 2.50 mm over plate 10
    expect(sieveClass(1.7)).toBe('−6.5 +6');
    // from plate 1 on half a plate is 0.05 mm up to 1.6 mm and 0.1 mm above
    const classes = [...Array(31).keys()].map((i) => {
      const from = i < 10 ? 1.15 + 0.05 * i : 1.6 + 0.1 * (i - 9);
      return { from, held: i === 0 ? 1 : 1 + 0.5 * i };
    });
    for (const { from, held } of classes.slice(0, -1)) {
      expect(sieveClass(from)).toBe(`−${held + 0.5} +${held}`);
      expect(sieveClass(from - 0.002)).not.toBe(sieveClass(from));
    }
    expect(sieveClass(2.5)).toBe('−10.5 +10');
    expect(sieveClass(0.75)).toBe('−0000');
    expect(sieveClass(0.69)).toBeUndefined();
    expect(sieveClass(3.7)).toBeUndefined();
  });
});
