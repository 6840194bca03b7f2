import fc from 'fast-check';
import { expect, it } from 'vitest';
import { buildLanes } from '../../pipeline/band/build-lanes.ts';
import { findBandProblems } from '../../pipeline/band/design-problems.ts';
import { lanesOf, wholeBand } from '../../pipeline/band/lane.ts';
import { laneVolume } from '../../pipeline/band/pappus.ts';
import { radiusAt } from '../../pipeline/band/profile.ts';
import { meshVolume } from '../../pipeline/band/welded-mesh.ts';
import type { ShapeDesign } from '../../pipeline/catalogue/design.ts';
import { type Problem, ProblemError } from '../../pipeline/problem.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { loadSolidKernel, type SolidKernel } from '../../pipeline/setting/solid-kernel.ts';
import { inspectMesh } from '../band/closed-mesh.ts';
import { eachStone, solidFrom } from '../setting/bare-solid.ts';
import { anyTemplate } from './any-template.ts';
import { config, planOf } from './workspace.ts';

/** A longer search: BANDWRIGHT_FUZZ_RUNS templates in place of these. */
const RUNS = Number(process.env.BANDWRIGHT_FUZZ_RUNS ?? 300);
/** Of the accepted bands without rows one in so many is built; those with rows are built all, a few dozen in 300 runs. */
const BARE_BUILT = 12;
/** Angles at which the exact sections are summed. */
const SECTIONS = 180;

const CONFIG = config({
  template: 'template: ./own.yaml',
  origins: 'origins: { diamond: natural }',
  grid: 'grid: { size: [ISO 54] }',
  shots: 'shots: [front]',
});

/** The one design of a template. */
async function designOf(template: object): Promise<ShapeDesign> {
  // JSON is YAML
  const { plan } = await planOf(CONFIG, { 'own.yaml': JSON.stringify(template) });
  return Object.values(plan.shapes)[0];
}

/** What the work makes; undefined if it is refused, which must be for stated reasons. */
async function made<T>(work: () => T | Promise<T>): Promise<T | undefined> {
  try {
    return await work();
  } catch (error) {
    if (!(error instanceof ProblemError)) throw error;
    expectReasons(error.problems);
    return undefined;
  }
}

function expectReasons(problems: readonly Problem[]): void {
  expect(problems.some(({ severity }) => severity === 'error')).toBe(true);
  for (const { code, path, place, expected, received, advice } of problems) {
    expect(code).toMatch(/^[a-z][a-z-]+$/);
    expect(path || place).toBeTruthy();
    expect(`${expected} ${received}`).not.toMatch(/NaN|undefined|Infinity/);
    expect(expected.length).toBeGreaterThan(2);
    expect(advice).toMatch(/[.?]$/);
  }
}

it('any template is refused with reasons or makes sound solids whose lanes add up and whose stones keep apart', async () => {
  const kernel = await loadSolidKernel();
  const tally = { refusedByReader: 0, refusedBands: 0, soundBands: 0, refusedRows: 0, builtRows: 0 };
  let bands = 0;
  await fc.assert(
    fc.asyncProperty(anyTemplate, async (template) => {
      const design = await made(() => designOf(template));
      if (!design) {
        tally.refusedByReader++;
        return;
      }
      const problems = findBandProblems(design);
      if (problems.length > 0) {
        tally.refusedBands++;
        expectReasons(problems);
        return;
      }
      tally.soundBands++;
      if (design.rows.length === 0 && bands++ % BARE_BUILT > 0) return;
      expectLanesOfWhole(design);
      const bare = buildLanes({ ...design, rows: [] });
      for (const { lane, mesh } of bare) {
        expect(inspectMesh(mesh).looseEdges).toBe(0);
        expect(Math.abs(meshVolume(mesh) / laneVolume(lane, SECTIONS) - 1)).toBeLessThan(0.03);
      }
      if (design.rows.length === 0) return;
      const shape = await made(() => buildShape(design, kernel));
      if (!shape) {
        tally.refusedRows++;
        return;
      }
      tally.builtRows++;
      const open = design.rows[0].setting.style !== 'shared-claws';
      shape.lanes.forEach(({ name, mesh, volumeMm3 }, i) => {
        const metal = solidFrom(kernel, mesh);
        expect(metal.status()).toBe('NoError');
        metal.delete();
        expect(inspectMesh(mesh).looseEdges).toBe(0);
        expect(volumeMm3).toBeGreaterThan(0);
        const before = meshVolume(bare[i].mesh);
        if (name !== design.rows[0].lane) expect(volumeMm3).toBeCloseTo(before, 9);
        else if (open) expect(volumeMm3).toBeLessThan(before);
      });
      expectFreeStones(kernel, design, eachStone(shape), shape.rows[0].stone.volumeMm3);
    }),
    { numRuns: RUNS },
  );
  if (process.env.BANDWRIGHT_FUZZ_RUNS) console.info(tally);
  // both outcomes must occur, or the templates are too tame or too wild to try anything
  expect(tally.refusedByReader + tally.refusedBands + tally.refusedRows).toBeGreaterThan(RUNS / 100);
  expect(tally.builtRows).toBeGreaterThanOrEqual(RUNS / 30);
}, 3_600_000);

/** Parted without recess and softening, the lanes are the whole band; by exact sections. */
function expectLanesOfWhole(design: ShapeDesign): void {
  const lanes = design.lanes.map((lane) => ({ ...lane, recessMm: 0, softenMm: 0 }));
  const parted = lanesOf({ ...design, lanes, rows: [] });
  const sum = parted.reduce((total, lane) => total + laneVolume(lane, SECTIONS), 0);
  expect(Math.abs(sum / laneVolume(wholeBand(design), SECTIONS) - 1)).toBeLessThan(1e-6);
}

/** No stone shares anything with another, and none reaches through the bore. */
function expectFreeStones(
  kernel: SolidKernel,
  design: ShapeDesign,
  stones: ReturnType<typeof eachStone>,
  volumeMm3: number,
): void {
  const solids = stones.map((mesh) => solidFrom(kernel, mesh));
  const all = kernel.Manifold.union(solids);
  expect(all.volume() / (stones.length * volumeMm3)).toBeCloseTo(1, 5);
  for (const solid of [...solids, all]) solid.delete();
  const { bore } = wholeBand(design);
  for (const { positions: p } of stones) {
    for (let i = 0; i < p.length; i += 3) {
      const inside = radiusAt(bore(Math.atan2(p[i + 1], p[i])), p[i + 2]);
      expect(Math.hypot(p[i], p[i + 1])).toBeGreaterThan(inside - 1e-4);
    }
  }
}
