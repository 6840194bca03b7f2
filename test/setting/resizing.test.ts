import { beforeAll, describe, expect, it } from 'vitest';
import { boreRadius } from '../../pipeline/band/lane.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { loadSolidKernel, type SolidKernel } from '../../pipeline/setting/solid-kernel.ts';
import { plannedShape } from './planned-shape.ts';
import { straightRowDesign, wavyRowDesign } from './stone-designs.ts';

let kernel: SolidKernel;
beforeAll(async () => {
  kernel = await loadSolidKernel();
});

describe('resizing', () => {
  it('rebuilds with section, thickness and stones kept, and fits the row again', async () => {
    const shapes = await Promise.all(
      [48, 55, 63].map((circumferenceMm) =>
        buildShape(wavyRowDesign({}, { circumferenceMm, chordToleranceMm: 0.08 })),
      ),
    );
    // the crest lies in the ribbon at every θ, 0.1 mm deep: what stands highest is the left lane, at the top of its
    // softening of 0.25 mm where its seam swings nearest to mid-width, z = -0.5. A circle of 0.25 mm inside the arc of the
    // outside, whose chord is 5.4 mm and sagitta 0.3 mm, has its centre R - 0.25 from the arc's
    const R = (2.7 ** 2 + 0.3 ** 2) / (2 * 0.3);
    const highest = 1.7 - R + Math.sqrt((R - 0.25) ** 2 - 0.75 ** 2) + 0.25;
    for (const shape of shapes) {
      expect(shape.thicknessMm).toBeCloseTo(highest, 9);
      expect(shape.rows[0].stone.diameterMm).toBe(1.2);
      expect(shape.innerDiameterMm).toBeCloseTo(shape.circumferenceMm / Math.PI, 12);
      expect(shape.rows[0].gapMm).toBeGreaterThanOrEqual(0.12);
      expect(shape.rows[0].gapMm).toBeLessThan(0.12 + 1.35 / shape.rows[0].count);
    }
    const counts = shapes.map(({ rows }) => rows[0].count);
    expect(counts).toEqual([...counts].sort((a, b) => a - b));
    expect(new Set(counts).size).toBe(3);
    expect(shapes[0].rows[0].stone.volumeMm3).toBe(shapes[2].rows[0].stone.volumeMm3);
  });

  // girdle circle over stone and least gap, and a little more for the wave: 2π · (r + 1.6) / 1.32
  it('takes 48 to 50 stones of 1.2 mm in a wavy row at ISO 51, nine more at ISO 63', async () => {
    const counts = [];
    for (const circumferenceMm of [51, 63]) {
      const design = wavyRowDesign({ setDepthMm: 0.1 }, { circumferenceMm, chordToleranceMm: 0.08 });
      counts.push((await plannedShape(design, kernel)).rows[0].count);
    }
    for (const [i, circumferenceMm] of [51, 63].entries()) {
      const straight = (circumferenceMm + 2 * Math.PI * 1.6) / 1.32;
      expect(counts[i]).toBeGreaterThanOrEqual(Math.floor(straight));
      expect(counts[i]).toBeLessThanOrEqual(Math.floor(straight * 1.06));
    }
    expect(counts[1] - counts[0]).toBeGreaterThanOrEqual(8);
  });

  it('fits a straight row by the closed form ⌊π / asin((Ø + gap) / 2r)⌋ at every size', async () => {
    for (const circumferenceMm of [44, 51.5, 63]) {
      const design = straightRowDesign(
        { setting: { style: 'none' } },
        { circumferenceMm, chordToleranceMm: 0.05 },
      );
      const girdle = boreRadius(design) + 1.9 - 0.05;
      const { rows } = await plannedShape(design, kernel);
      expect(rows[0].count).toBe(Math.floor(Math.PI / Math.asin(1.62 / (2 * girdle))));
      expect(rows[0].gapMm).toBeCloseTo(2 * girdle * Math.sin(Math.PI / rows[0].count) - 1.5, 9);
    }
  });
});
