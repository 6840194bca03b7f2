import { beforeAll, expect, it } from 'vitest';
import { buildLanes } from '../../pipeline/band/build-lanes.ts';
import { strandsOf } from '../../pipeline/band/strand.ts';
import { meshVolume } from '../../pipeline/band/welded-mesh.ts';
import { partBodies } from '../../pipeline/model/part-bodies.ts';
import { partMesh } from '../../pipeline/model/part-mesh.ts';
import { sectionDrawing, unrolledDrawing } from '../../pipeline/papers/bench-drawing.ts';
import { workingMeasures } from '../../pipeline/papers/working-measures.ts';
import type { ShapeDesign } from '../../pipeline/plan/design.ts';
import type { LinerDesign, StrandsDesign } from '../../pipeline/plan/strands-design.ts';
import { ProblemError } from '../../pipeline/problem.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { loadSolidKernel, type SolidKernel } from '../../pipeline/setting/solid-kernel.ts';
import { config, planOf, problemsOf } from '../plan/workspace.ts';
import { solidFrom } from '../setting/bare-solid.ts';
import { inspectMesh } from './closed-mesh.ts';
import { expectGrownWires, wiresDesign } from './strand-designs.ts';

let kernel: SolidKernel;
beforeAll(async () => {
  kernel = await loadSolidKernel();
});

const LINER: LinerDesign = { thicknessMm: 0.9, marginMm: 0.6, edgeMm: 0.15 };
const BORE = 54 / (2 * Math.PI);

/** Three lanes: a liner and two wires. */
const lined = (strands: Partial<StrandsDesign> = {}, band: Partial<ShapeDesign> = {}) =>
  wiresDesign(
    3,
    { between: { kind: 'joined', overlapMm: 0.1 }, liner: LINER, ...strands },
    { thicknessMm: 2.9, circumferenceMm: 54, chordToleranceMm: 0.008, ...band },
  );

it('a liner is a flat ring as wide as the band whose edges are quarter circles, by Pappus', () => {
  const [{ mesh }] = buildLanes(lined({}, { chordToleranceMm: 0.001 }));
  const { thicknessMm: t, edgeMm: e } = LINER;
  // between a corner and its quarter circle: area and distance of the centroid from the corner
  const [area, off] = [(1 - Math.PI / 4) * e * e, (e * (10 - 3 * Math.PI)) / (12 - 3 * Math.PI)];
  const corners = 2 * 2 * Math.PI * area * (BORE + off + (BORE + t - off));
  const closed = 4 * Math.PI * ((BORE + t) ** 2 - BORE ** 2) - corners;
  expect(inspectMesh(mesh)).toMatchObject({ looseEdges: 0, genus: 1 });
  expect(Math.abs(meshVolume(mesh) / closed - 1)).toBeLessThan(1e-3);
});

it('wires fill what is left of the thickness and reach into the liner by the overlap', () => {
  for (const strands of [{}, { kind: 'braid' as const }]) {
    const count = strands.kind === 'braid' ? 4 : 3;
    const design = { ...lined(strands), ...(count === 4 && { lanes: wiresDesign(4, {}).lanes }) };
    const { curves, wireMm } = strandsOf(design)!;
    expect(curves).toHaveLength(count - 1);
    const radii = Array.from({ length: 4000 }, (_, i) => curves[0].r((i * Math.PI) / 2000));
    expect(Math.min(...radii) - wireMm / 2).toBeCloseTo(BORE + 0.9 - 0.1, 4);
    expect(Math.max(...radii) + wireMm / 2).toBeCloseTo(BORE + 2.9, 4);
    const across = Array.from({ length: 4000 }, (_, i) => curves[0].z((i * Math.PI) / 2000));
    expect(Math.max(...across) + wireMm / 2).toBeCloseTo(2 - LINER.marginMm, 4);
  }
});

it('liner and wires are one casting that shares nothing, closed and on the size’s bore', async () => {
  const shape = await buildShape(lined(), kernel);
  const solids = shape.lanes.map(({ mesh }) => solidFrom(kernel, mesh));
  const whole = kernel.Manifold.union(solids);
  const parts = whole.decompose();
  const [largest] = parts.map((part) => part.volume()).sort((a, b) => b - a);
  expect(largest / whole.volume()).toBeCloseTo(1, 5);
  const sum = shape.lanes.reduce((total, { volumeMm3 }) => total + volumeMm3, 0);
  expect(whole.volume() / sum).toBeCloseTo(1, 5);
  // what wires lose to the liner and each other
  const bare = buildLanes(lined()).map(({ mesh }) => meshVolume(mesh));
  expect(shape.lanes[0].volumeMm3).toBeCloseTo(bare[0], 9);
  for (const k of [1, 2]) expect(shape.lanes[k].volumeMm3).toBeLessThan(bare[k]);
  for (const { mesh } of shape.lanes) expect(inspectMesh(mesh).looseEdges).toBe(0);
  for (const solid of [...solids, whole, ...parts]) solid.delete();

  for (const lanes of [
    [0, 1, 2],
    [0, 2],
    [1, 2],
  ]) {
    const part = await partMesh(shape, lanes, kernel);
    expect(part.pieces).toEqual([lanes.map((lane) => `wire-${lane}`)]);
    expect(partBodies(part)).toHaveLength(1);
  }
});

it('metal for polishing lies all round liner and wires, whose middles stay', () => {
  const design = lined();
  const grown = expectGrownWires(design, 0.05);
  const reach = ({ mesh }: { mesh: { positions: Float32Array } }) => {
    const radii: number[] = [];
    for (let i = 0; i < mesh.positions.length; i += 3)
      radii.push(Math.hypot(mesh.positions[i], mesh.positions[i + 1]));
    return [radii.reduce((a, b) => Math.min(a, b)), radii.reduce((a, b) => Math.max(a, b))];
  };
  const [[bore, top], [grownBore, grownTop]] = [design, grown].map((each) => reach(buildLanes(each)[0]));
  expect(bore - grownBore).toBeCloseTo(0.05, 3);
  expect(grownTop - top).toBeCloseTo(0.05, 3);
});

it('the bench sees the liner in the section, is told its strip, and how long each wire is', () => {
  const design = lined();
  const section = sectionDrawing(design, 0, [['wire-0'], ['wire-1', 'wire-2']]);
  const [, path] = section.match(/data-lane="wire-0" d="M([^"]+)Z"/)!;
  expect(path.split('L').length).toBeGreaterThan(20);
  const { blank, wires } = workingMeasures(design);
  expect(blank!.lengthMm).toBeCloseTo(54 + Math.PI * 0.9, 9);
  expect(wires.map(({ name }) => name)).toEqual(['wire-1', 'wire-2']);
  expect(unrolledDrawing(design)).not.toContain('data-lane="wire-0"');
});

it('a thin liner is told of, one without room or wall refused', async () => {
  const thin = await buildShape(lined({ liner: { ...LINER, thicknessMm: 0.7 } }), kernel);
  expect(thin.checks.filter(({ passed }) => !passed).map(({ rule }) => rule)).toContain('liner-wall');
  expect((await buildShape(lined(), kernel)).checks.find(({ rule }) => rule === 'liner-wall')!.passed).toBe(
    true,
  );
  const codes = async (liner: LinerDesign) => {
    const error = await buildShape(lined({ liner }), kernel).catch((e: unknown) => e);
    return error instanceof ProblemError ? error.problems.map(({ code }) => code) : [];
  };
  expect(await codes({ ...LINER, thicknessMm: 2.6 })).toEqual(['strands-no-room']);
  expect(await codes({ ...LINER, edgeMm: 0.45 })).toEqual(['liner-edge']);
});

const CONFIG = config({
  template: 'template: ./own.yaml',
  grid: 'grid: { size: [ISO 54] }',
  shots: 'shots: [front]',
  origins: '',
  treatments: '',
});
const text = (strands: string, lanes = 3) => {
  const names = Array.from({ length: lanes }, (_, i) => `w${i}: { alloy: yellow-18 }`).join(', ');
  return {
    'own.yaml': `title: Wires\nsection: { name: flat }\nwidth: 4 mm\nthickness: 2.9 mm\nlanes: { ${names} }\nstrands: ${strands}\n`,
  };
};

it('templates give the first lane to the liner', async () => {
  const { plan } = await planOf(
    CONFIG,
    text('{ kind: twist, turns: 9, liner: { thickness: 0.9 mm, margin: 0.6 mm } }'),
  );
  expect(Object.values(plan.shapes)[0].strands).toMatchObject({ liner: LINER });
});

it.each([
  ['{ kind: twist, turns: 9, clearance: 0.2 mm, liner: { thickness: 0.9 mm } }', 3, 'strands.clearance'],
  ['{ kind: braid, turns: 9, liner: { thickness: 0.9 mm } }', 3, 'lanes'],
  ['{ kind: twist, turns: 9, liner: { thickness: 0.9 mm } }', 2, 'lanes'],
])('%s with %i lanes is refused', async (strands, lanes, path) => {
  const found = await problemsOf(CONFIG, text(strands, lanes));
  expect(found.filter(({ code }) => code === 'strands-conflict').map((p) => p.path)).toEqual([path]);
});
