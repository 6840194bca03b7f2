import fc from 'fast-check';
import { expect, it } from 'vitest';
import { takeLooks } from '../../pipeline/artefacts/film.ts';
import { type BuiltLane, buildLanes } from '../../pipeline/band/build-lanes.ts';
import type { BuiltShape } from '../../pipeline/band/built-shape.ts';
import { boreRadius, lanesOf, wholeBand } from '../../pipeline/band/lane.ts';
import { laneVolume } from '../../pipeline/band/pappus.ts';
import { radiusAt } from '../../pipeline/band/profile.ts';
import { firstWire, strandsOf } from '../../pipeline/band/strand.ts';
import { strandLength } from '../../pipeline/band/strand-curve.ts';
import { meshVolume } from '../../pipeline/band/welded-mesh.ts';
import type { ShapeDesign } from '../../pipeline/plan/design.ts';
import type { Plan } from '../../pipeline/plan/plan.ts';
import { type Problem, ProblemError } from '../../pipeline/problem.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { loadSolidKernel, type SolidKernel } from '../../pipeline/setting/solid-kernel.ts';
import { inspectMesh } from '../band/closed-mesh.ts';
import { bandProblems } from '../band/designs.ts';
import { eachStone, solidFrom } from '../setting/bare-solid.ts';
import { anyTemplate } from './any-template.ts';
import { config, planOf } from './workspace.ts';

/** A longer search: BANDWRIGHT_FUZZ_RUNS templates in place of these. */
const RUNS = Number(process.env.BANDWRIGHT_FUZZ_RUNS ?? 60);
/** Of the bands whose rows are refused or that have none one in so many is built; accepted rows are built all. */
const BARE_BUILT = 8;
/** Accepted rows in a hundred templates, at least: 14 to 20 are usual, and few templates scatter widely. */
const BUILT_IN_100 = 3;
/** Angles at which the exact sections are summed. */
const SECTIONS = 36;

/** Settings that only take metal away. */
const TAKING = ['none', 'channel', 'flush'];

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
  expectMatter(plan, template);
  return Object.values(plan.shapes)[0];
}

/** What lanes are made of reaches the take that shows them: a coat, layers or nothing, by their alloys. */
function expectMatter({ takes: [take] }: Plan, template: object): void {
  const alloys = Object.values((template as { lanes: Record<string, { alloy: string }> }).lanes);
  const kinds = alloys.map(({ alloy }) =>
    alloy === 'yellow-18' ? 'metal' : /^(?:mokume|damask)/.test(alloy) ? 'layers' : 'coat',
  );
  const found = take.matters?.[0] ?? alloys.map(() => null);
  expect(found.map((m) => (m ? Object.keys(m)[0] : 'metal'))).toEqual(kinds);
  const { colours } = takeLooks(take);
  expect(colours[0][0].metals).toHaveLength(kinds.length + kinds.filter((k) => k === 'layers').length);
  found.forEach((matter, i) => {
    if (matter && 'coat' in matter) expect('grain' in matter).toBe(alloys[i].alloy.startsWith('wood'));
  });
}

/** What the work makes, or why it is refused, which must be for stated reasons. */
async function made<T>(work: () => T | Promise<T>): Promise<T | Problem[]> {
  try {
    return await work();
  } catch (error) {
    if (!(error instanceof ProblemError)) throw error;
    expectReasons(error.problems);
    return [...error.problems];
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
  const tally = {
    refusedByReader: 0,
    refusedBands: 0,
    refusedRows: 0,
    bareBands: 0,
    builtRows: 0,
    refusedWires: 0,
    builtWires: 0,
  };
  let bands = 0;
  await fc.assert(
    fc.asyncProperty(anyTemplate, async (template) => {
      const design = await made(() => designOf(template));
      if (Array.isArray(design)) {
        tally.refusedByReader++;
        return;
      }
      if (design.strands) {
        const wires = await made(() => buildShape(design, kernel));
        if (!Array.isArray(wires)) expectWires(design, wires);
        tally[Array.isArray(wires) ? 'refusedWires' : 'builtWires']++;
        return;
      }
      const withRow = design.rows.length > 0;
      const shape = await made(() => (withRow ? buildShape(design, kernel) : soundBand(design)));
      if (Array.isArray(shape)) {
        const ofRow = shape.every(({ path }) => path?.startsWith('rows'));
        tally[ofRow ? 'refusedRows' : 'refusedBands']++;
        if (!ofRow) return;
      }
      const set = shape && !Array.isArray(shape) ? shape : undefined;
      if (!set && bands++ % BARE_BUILT > 0) return;
      const bare = expectLanes(design);
      if (set) {
        tally.builtRows++;
        expectSetLanes(kernel, design, set, bare);
        expectFreeStones(kernel, design, eachStone(set), set.rows[0].stone.volumeMm3);
      } else tally.bareBands++;
    }),
    { numRuns: RUNS },
  );
  if (process.env.BANDWRIGHT_FUZZ_RUNS) console.info(tally);
  // both outcomes must occur, or the templates are too tame or too wild to try anything
  expect(tally.refusedByReader + tally.refusedBands + tally.refusedRows).toBeGreaterThan(RUNS / 100);
  expect(tally.builtRows).toBeGreaterThanOrEqual((RUNS / 100) * BUILT_IN_100);
}, 3_600_000);

/** Closed wires of their section's area times their length, less what those that are joined have in common. */
function expectWires(design: ShapeDesign, shape: BuiltShape): void {
  const { wireMm, curves, repeats } = strandsOf(design)!;
  const joined = design.strands!.between.kind === 'joined';
  for (const { mesh } of shape.lanes) expect(inspectMesh(mesh).looseEdges).toBe(0);
  shape.lanes.slice(firstWire(design.strands!)).forEach(({ volumeMm3 }, i) => {
    const whole = (Math.PI / 4) * wireMm ** 2 * strandLength(curves[i], repeats);
    expect(volumeMm3 / whole).toBeGreaterThan(joined ? 0.3 : 0.95);
    expect(volumeMm3 / whole).toBeLessThan(1.01);
  });
}

/** @throws ProblemError with what keeps a band without rows from being a solid; it is not built */
function soundBand(design: ShapeDesign): undefined {
  const problems = bandProblems(design);
  if (problems.length > 0) throw new ProblemError(problems);
}

/** Closed lanes of the volume of their exact sections. */
function expectLanes(design: ShapeDesign): BuiltLane[] {
  expectLanesOfWhole(design);
  const bare = buildLanes({ ...design, rows: [] });
  for (const { lane, mesh } of bare) {
    expect(inspectMesh(mesh).looseEdges).toBe(0);
    expect(Math.abs(meshVolume(mesh) / laneVolume(lane, SECTIONS) - 1)).toBeLessThan(0.03);
  }
  return bare;
}

/** Set lanes are closed solids; the others stay as they were. */
function expectSetLanes(
  kernel: SolidKernel,
  design: ShapeDesign,
  shape: BuiltShape,
  bare: BuiltLane[],
): void {
  const [{ lane, setting }] = design.rows;
  shape.lanes.forEach(({ name, mesh, volumeMm3 }, i) => {
    const metal = solidFrom(kernel, mesh);
    expect(metal.status()).toBe('NoError');
    metal.delete();
    expect(inspectMesh(mesh).looseEdges).toBe(0);
    expect(volumeMm3).toBeGreaterThan(0);
    const before = meshVolume(bare[i].mesh);
    if (name !== lane && !design.gaps) expect(volumeMm3).toBeCloseTo(before, 9);
    // claws and collars may add more than seats take
    else if (TAKING.includes(setting.style)) expect(volumeMm3).toBeLessThan(before);
  });
}

/** Parted without recess and softening, the lanes are the whole band; by exact sections. */
function expectLanesOfWhole(design: ShapeDesign): void {
  const lanes = design.lanes.map((lane) => ({ ...lane, recessMm: 0, softenMm: 0 }));
  const parted = lanesOf({ ...design, lanes, rows: [] });
  const sum = parted.reduce((total, lane) => total + laneVolume(lane, SECTIONS), 0);
  expect(Math.abs(sum / laneVolume(wholeBand(design), SECTIONS) - 1)).toBeLessThan(1e-6);
}

/**
 * No stone shares anything with another, and none reaches through the bore; one that is set into the bore may stand over
 * where it opens towards the edges, as its table is flat, but not nearer the finger than the bore itself.
 */
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
  const least = design.rows[0].inside && boreRadius(design);
  for (const { positions: p } of stones) {
    for (let i = 0; i < p.length; i += 3) {
      const inside = least || radiusAt(bore(Math.atan2(p[i + 1], p[i])), p[i + 2]);
      expect(Math.hypot(p[i], p[i + 1])).toBeGreaterThan(inside - 1e-4);
    }
  }
}
