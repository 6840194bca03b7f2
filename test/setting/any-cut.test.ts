import fc from 'fast-check';
import { expect, it } from 'vitest';
import { ProblemError } from '../../pipeline/problem.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { loadSolidKernel } from '../../pipeline/setting/solid-kernel.ts';
import { CUT_NAMES, CUTS } from '../../pipeline/trade/cuts.ts';
import { inspectMesh } from '../band/closed-mesh.ts';
import { eachStone, solidFrom } from './bare-solid.ts';
import { commonVolume } from './sound-set.ts';
import { straightRowDesign } from './stone-designs.ts';

const within = (min: number, max: number) => fc.double({ min, max, noNaN: true });

const anyCutRow = fc
  .record({
    cut: fc.constantFrom(...CUT_NAMES),
    width: within(1.1, 2.4),
    share: within(0, 1),
    across: fc.boolean(),
    gap: within(0.1, 0.2),
    depth: within(-0.05, 0.12),
    hole: fc.oneof(fc.constant(0), within(0.3, 0.6)),
    claw: within(0.5, 0.8),
    dome: within(0, 0.4),
    set: fc.boolean(),
  })
  .map(({ cut, width, share, across, ...v }) => {
    const { round, ratio } = CUTS.get(cut)!;
    const long = width * (ratio.least + share * (ratio.most - ratio.least));
    const size = round
      ? { diameterMm: width }
      : across
        ? { diameterMm: long, lengthMm: width }
        : { diameterMm: width, lengthMm: long };
    return straightRowDesign(
      {
        cut,
        ...size,
        leastGapMm: v.gap,
        setDepthMm: v.depth,
        holeShare: v.hole,
        coverage: { kind: 'arc', angleRad: 1.6 },
        setting: v.set
          ? { style: 'shared-claws', clawDiameterMm: v.claw, clawHeightMm: 0.25 }
          : { style: 'none' },
      },
      {
        widthMm: 5.5,
        thicknessMm: 2.4,
        section: { name: 'court', domeMm: v.dome, comfortMm: 0.1, edgeMm: 0.2, boreEdgeMm: 0.15 },
        chordToleranceMm: 0.04,
      },
    );
  });

it('any cut of any proportions is refused with reasons, or set in one closed lane without metal in a stone', async () => {
  const kernel = await loadSolidKernel();
  let built = 0;
  await fc.assert(
    fc.asyncProperty(anyCutRow, async (design) => {
      const shape = await buildShape(design, kernel).catch((error: unknown) => {
        if (!(error instanceof ProblemError)) throw error;
        for (const { expected, received } of error.problems)
          expect(`${expected}${received}`).not.toContain('NaN');
        return undefined;
      });
      if (!shape) return;
      built++;
      const [row] = shape.rows;
      const report = inspectMesh(shape.lanes[0].mesh);
      expect(report.looseEdges).toBe(0);
      expect(report.normalLengthError).toBeLessThan(1e-5);
      expect(report.leastCosine).toBeGreaterThan(0.8);
      expect(report.genus).toBe(1 + (design.rows[0].holeShare > 0 ? row.count : 0));
      expect(row.gapMm).toBeGreaterThan(design.rows[0].leastGapMm - 1e-6);
      const metal = solidFrom(kernel, shape.lanes[0].mesh);
      const stones = eachStone(shape).map((mesh) => solidFrom(kernel, mesh));
      expect(commonVolume(kernel, stones, metal)).toBeLessThan(1e-9);
      for (const solid of [metal, ...stones]) solid.delete();
    }),
    { numRuns: 20 },
  );
  expect(built).toBeGreaterThan(3);
});
