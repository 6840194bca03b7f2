import fc from 'fast-check';
import { expect, it } from 'vitest';
import { ProblemError } from '../../pipeline/problem.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { loadSolidKernel } from '../../pipeline/setting/solid-kernel.ts';
import { inspectMesh } from '../band/closed-mesh.ts';
import { wavyRowDesign } from './stone-designs.ts';

const length = (min: number, max: number) => fc.double({ min, max, noNaN: true });

const anyRowDesign = fc
  .record({
    circumferenceMm: length(46, 66),
    thicknessMm: length(1.5, 2.4),
    diameterMm: length(1, 1.6),
    leastGapMm: length(0.05, 0.2),
    setDepthMm: length(-0.1, 0.2),
    holeShare: fc.oneof(fc.constant(0), length(0.2, 0.7)),
    azureShare: fc.option(length(0.3, 1)),
    claw: length(0.4, 0.6),
    amplitude: length(0, 0.6),
    periods: fc.integer({ min: 1, max: 6 }),
    domeMm: length(0, 0.5),
    arc: fc.option(length(0.6, 5)),
    style: fc.constantFrom('shared-claws' as const, 'none' as const),
  })
  .map((v) => {
    const wave = {
      kind: 'wave',
      amplitudeMm: v.amplitude,
      periods: v.periods,
      sharpness: 0.3,
      phaseRad: 1,
    } as const;
    const setting = {
      style: 'shared-claws',
      clawDiameterMm: v.claw,
      clawHeightMm: v.setDepthMm + 0.25,
    } as const;
    return wavyRowDesign(
      {
        diameterMm: v.diameterMm,
        leastGapMm: v.leastGapMm,
        setDepthMm: v.setDepthMm,
        holeShare: v.holeShare,
        ...(v.azureShare === null ? {} : { azureShare: v.azureShare }),
        coverage: v.arc === null ? { kind: 'full' } : { kind: 'arc', angleRad: v.arc },
        setting: v.style === 'none' ? { style: 'none' } : setting,
      },
      {
        circumferenceMm: v.circumferenceMm,
        thicknessMm: v.thicknessMm,
        section: { name: 'court', domeMm: v.domeMm, comfortMm: 0.1, edgeMm: 0.2, boreEdgeMm: 0.15 },
        seams: [
          { ...wave, atMm: -1.1 },
          { ...wave, atMm: 1.1 },
        ],
        chordToleranceMm: 0.04,
      },
    );
  });

it('any row is either refused with reasons or set in closed lanes of positive volume, one hole a stone', async () => {
  const kernel = await loadSolidKernel();
  let built = 0;
  await fc.assert(
    fc.asyncProperty(anyRowDesign, async (design) => {
      const shape = await buildShape(design, kernel).catch((error: unknown) => {
        if (!(error instanceof ProblemError)) throw error;
        for (const problem of error.problems)
          expect(`${problem.expected}${problem.received}`).not.toContain('NaN');
        return undefined;
      });
      if (!shape) return;
      built++;
      const row = shape.rows[0];
      expect(row.gapMm).toBeGreaterThanOrEqual(design.rows[0].leastGapMm - 1e-9);
      for (const { name, mesh, volumeMm3 } of shape.lanes) {
        const report = inspectMesh(mesh);
        expect(report.looseEdges).toBe(0);
        expect(report.normalLengthError).toBeLessThan(1e-5);
        expect(report.leastCosine).toBeGreaterThan(0.8);
        expect(volumeMm3).toBeGreaterThan(0);
        const holes = name === 'ribbon' && design.rows[0].holeShare > 0 ? row.count : 0;
        expect(report.genus).toBe(1 + holes);
      }
    }),
    { numRuns: 15 },
  );
  expect(built).toBeGreaterThan(3);
});
