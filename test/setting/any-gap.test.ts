import fc from 'fast-check';
import { expect, it } from 'vitest';
import { buildLanes } from '../../pipeline/band/build-lanes.ts';
import { meshVolume } from '../../pipeline/band/welded-mesh.ts';
import type { ShapeDesign } from '../../pipeline/plan/design.ts';
import type { GapDesign } from '../../pipeline/plan/gap-design.ts';
import { ProblemError } from '../../pipeline/problem.ts';
import { buildSolids } from '../../pipeline/setting/build-solids.ts';
import { loadSolidKernel } from '../../pipeline/setting/solid-kernel.ts';
import { anyDesign } from '../band/any-design.ts';
import { inspectMesh } from '../band/closed-mesh.ts';
import { bandProblems } from '../band/designs.ts';

const RUNS = Number(process.env.BANDWRIGHT_FUZZ_RUNS ?? 40);

const number = (min: number, max: number) => fc.double({ min, max, noNaN: true });
const any = { name: fc.constant('gap'), atRad: number(-Math.PI, Math.PI), softenMm: number(0.05, 0.5) };

const gap: fc.Arbitrary<GapDesign> = fc.oneof(
  fc.record({
    ...any,
    kind: fc.constant('open' as const),
    widthMm: number(0.4, 20),
    roundMm: number(0.1, 3),
  }),
  fc.record({
    ...any,
    kind: fc.constant('split' as const),
    widthMm: number(0.3, 3),
    spanRad: number(0.3, 3.4),
    across: fc.record({ share: number(0.3, 0.7), mm: number(-0.3, 0.3) }),
  }),
  fc.record({
    ...any,
    kind: fc.constant('bypass' as const),
    widthMm: number(0.3, 2),
    spanRad: number(0.3, 2.6),
    roundMm: number(0.1, 1.5),
    from: fc.constantFrom('first' as const, 'second' as const),
  }),
);

const flat = fc.option(
  fc.record({ lengthMm: number(3, 14), riseMm: number(-0.8, 1.5), edgeMm: number(0.1, 1.2) }),
  { nil: undefined, freq: 3 },
);

/** Many of any bands cannot be made for reasons of their own; these are asked about gaps and flats only. */
const parted: fc.Arbitrary<ShapeDesign> = fc
  .record({ design: anyDesign, gap, flat })
  .map(({ design, gap: one, flat: top }) => ({
    ...design,
    chordToleranceMm: 0.05,
    gaps: [one],
    ...(top && { flat: top }),
  }));

it('any parted band is refused with a measure and its place, or is closed solids of less metal than the whole', async () => {
  const kernel = await loadSolidKernel();
  const tally = { unsound: 0, refused: 0, built: 0 };
  await fc.assert(
    fc.asyncProperty(parted, async (design) => {
      const { gaps: _, ...whole } = design;
      if (bandProblems(whole).length > 0) {
        tally.unsound++;
        return;
      }
      const made = await buildSolids(design, kernel).catch((error: unknown) => {
        if (!(error instanceof ProblemError)) throw error;
        return error.problems;
      });
      if (!('solids' in made)) {
        tally.refused++;
        for (const { code, path, expected, received } of made) {
          expect(code).toMatch(/^gap/);
          expect(path).toBeTruthy();
          expect(`${expected} ${received}`).toMatch(/\d/);
          expect(`${expected} ${received}`).not.toMatch(/NaN|undefined|Infinity/);
        }
        return;
      }
      tally.built++;
      const before = buildLanes(whole);
      const sum = (volumes: number[]) => volumes.reduce((total, volume) => total + volume, 0);
      expect(sum(made.solids.lanes.map(({ volumeMm3 }) => volumeMm3))).toBeLessThan(
        sum(before.map(({ mesh }) => meshVolume(mesh))),
      );
      for (const { mesh } of made.solids.lanes) {
        expect(inspectMesh(mesh).looseEdges).toBe(0);
        expect(mesh.normals.every(Number.isFinite)).toBe(true);
      }
    }),
    { numRuns: RUNS },
  );
  if (process.env.BANDWRIGHT_FUZZ_RUNS) console.info(tally);
  expect(tally.built).toBeGreaterThan(RUNS / 40);
  expect(tally.refused).toBeGreaterThan(RUNS / 40);
}, 600_000);
