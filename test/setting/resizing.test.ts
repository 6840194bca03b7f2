import { describe, expect, it } from 'vitest';
import { boreRadius } from '../../pipeline/band/lane.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { straightRowDesign, wavyRowDesign } from './stone-designs.ts';

describe('resizing', () => {
  it('rebuilds with section, thickness and stones kept, and fits the row again', async () => {
    // continental sizes 9, 14 and 20 are circumferences 49, 54 and 60
    const shapes = await Promise.all(
      [49, 54, 60].map((circumferenceMm) => buildShape(wavyRowDesign({}, { circumferenceMm }))),
    );
    for (const shape of shapes) {
      expect(shape.thicknessMm).toBe(1.8);
      expect(shape.rows[0].stone.diameterMm).toBe(1.3);
      expect(shape.innerDiameterMm).toBeCloseTo(shape.circumferenceMm / Math.PI, 12);
      expect(shape.rows[0].gapMm).toBeGreaterThanOrEqual(0.12);
      expect(shape.rows[0].gapMm).toBeLessThan(0.12 + 1.45 / shape.rows[0].count);
    }
    const counts = shapes.map(({ rows }) => rows[0].count);
    expect(counts).toEqual([...counts].sort((a, b) => a - b));
    expect(new Set(counts).size).toBe(3);
    expect(shapes[0].rows[0].stone.volumeMm3).toBe(shapes[2].rows[0].stone.volumeMm3);
  });

  it('takes about 42 stones of 1.3 mm with 0.5 mm claws in a wavy row at continental size 12, more at 20 (common practice)', async () => {
    const counts = [];
    for (const circumferenceMm of [52, 60]) {
      const design = wavyRowDesign({ setDepthMm: 0.1 }, { circumferenceMm, thicknessMm: 1.6 });
      counts.push((await buildShape(design)).rows[0].count);
    }
    expect(counts[0]).toBeGreaterThanOrEqual(40);
    expect(counts[0]).toBeLessThanOrEqual(44);
    expect(counts[1]).toBeGreaterThan(counts[0] + 3);
  });

  it('fits a straight row by the closed form ⌊π / asin((Ø + gap) / 2r)⌋ at every size', async () => {
    for (const circumferenceMm of [44, 51.5, 63]) {
      const design = straightRowDesign(
        { setting: { style: 'none' } },
        { circumferenceMm, chordToleranceMm: 0.05 },
      );
      const girdle = boreRadius(design) + 1.8 - 0.05;
      const { rows } = await buildShape(design);
      expect(rows[0].count).toBe(Math.floor(Math.PI / Math.asin(1.62 / (2 * girdle))));
      expect(rows[0].gapMm).toBeCloseTo(2 * girdle * Math.sin(Math.PI / rows[0].count) - 1.5, 9);
    }
  });
});
