import { type BuiltLane, buildLanes, soundLanes } from '../band/build-lanes.ts';
import type { BenchCheck, BuiltShape, LaneSolid, StoneRow } from '../band/built-shape.ts';
import { boreRadius, type Lane } from '../band/lane.ts';
import { thicknesses } from '../band/thickness.ts';
import { meshVolume } from '../band/welded-mesh.ts';
import type { ShapeDesign } from '../plan/design.ts';
import { ProblemError, sortResults } from '../problem.ts';
import type { LimitSettings } from '../trade/bench-limits.ts';
import { benchChecks } from './bench-rules.ts';
import { findCollisions } from './collision.ts';
import { cutFacets } from './lane-facets.ts';
import { cutMarks, marksOn } from './mark-cutting.ts';
import { hasMarks, type Marks, markFacts, planMarks } from './marks.ts';
import { planRow, type RowPlan, slotsOf, type WholeRow } from './row-plan.ts';
import { setStones } from './set-stones.ts';
import { loadSolidKernel, NativeSolids, type SolidKernel, toTriMesh } from './solid-kernel.ts';

/**
 * Builds the solids of a shape: one closed manifold per lane, with seats, grooves and letters cut and claws and
 * beads added, and its stones in their places. Pure apart from the boolean engine, which is loaded once unless given; everything native is freed
 * before it returns or throws.
 * @param limits of the config, for the checks; they change no solid
 * @throws ProblemError with every problem found: lanes too thin, stones too wide, too deep, too many, colliding
 */
export async function buildShape(
  design: ShapeDesign,
  kernel?: SolidKernel,
  limits?: LimitSettings,
): Promise<BuiltShape> {
  const lanes = buildLanes(design);
  const bare = lanes.map(({ lane }) => lane);
  const { rows, marks, checks } = await planCuts(design, bare, kernel, limits);
  const faceted = bare.some(({ facets }) => facets);
  const engine = rows.length > 0 || faceted || marks ? (kernel ?? (await loadSolidKernel())) : undefined;
  const [top, back] = thicknesses(design, bare);
  return {
    lanes: engine ? cutLanes(engine, design, lanes, rows, marks) : lanes.map(plainLane),
    rows: rows.flatMap(({ sets }) => sets.map(stoneRow)),
    fits: rows.map(({ fit }) => fit),
    innerDiameterMm: 2 * boreRadius(design),
    circumferenceMm: design.circumferenceMm,
    widthMm: design.widthMm,
    thicknessMm: asDesigned(top.highest, design.thicknessMm),
    ...(design.taper && {
      back: {
        widthMm: design.taper.widthMm,
        thicknessMm: asDesigned(back.highest, design.taper.thicknessMm),
      },
    }),
    ...(marks ? { marks: markFacts(marks) } : {}),
    checks,
  };
}

/** A measure that is the design's own but for rounding is told as it was given. */
function asDesigned(measured: number, given: number): number {
  return Math.abs(measured - given) < 1e-6 ? given : measured;
}

/**
 * What the bench says of a shape, without cutting it: all that keeps it from being built is known before.
 * @throws ProblemError as `buildShape` does
 */
export async function checkShape(
  design: ShapeDesign,
  kernel?: SolidKernel,
  limits?: LimitSettings,
): Promise<BenchCheck[]> {
  return (await planCuts(design, soundLanes(design), kernel, limits)).checks;
}

async function planCuts(
  design: ShapeDesign,
  lanes: Lane[],
  kernel: SolidKernel | undefined,
  limits: LimitSettings | undefined,
): Promise<{ rows: WholeRow[]; marks?: Marks; checks: BenchCheck[] }> {
  const rows = planRows(design, lanes);
  const marks = hasMarks(design)
    ? planMarks(kernel ?? (await loadSolidKernel()), design, lanes, rows)
    : undefined;
  return { rows, marks, checks: benchChecks({ design, lanes, rows, limits, marks }) };
}

function planRows(design: ShapeDesign, lanes: Lane[]): WholeRow[] {
  const slots = slotsOf(design.rows);
  const plans = design.rows.map((row, i) => planRow(row, i, lanes, slots[i]));
  const { made: rows, problems } = sortResults(plans);
  if (problems.length === 0) problems.push(...findCollisions(rows));
  if (problems.length > 0) throw new ProblemError(problems);
  return rows;
}

function plainLane({ lane, mesh }: BuiltLane): LaneSolid {
  const { positions, normals, indices } = mesh;
  const under = lanesAbove(lane);
  return {
    name: lane.name,
    mesh: { positions, normals, indices },
    volumeMm3: meshVolume(mesh),
    ...(under ? { under } : {}),
  };
}

/** Lanes beneath which a lane runs on as the bed of an inlay. */
function lanesAbove({ index, low, high }: BuiltLane['lane']): number[] | undefined {
  const under = [low, high].flatMap(({ shelf, side }) => (shelf ? [index + side] : []));
  return under.length > 0 ? under : undefined;
}

function cutLanes(
  kernel: SolidKernel,
  design: ShapeDesign,
  lanes: BuiltLane[],
  rows: WholeRow[],
  marks: Marks | undefined,
): LaneSolid[] {
  const solids = new NativeSolids(kernel);
  try {
    return lanes.map((built) => {
      const own = rows.filter(({ lane }) => lane.index === built.lane.index);
      const { facets } = built.lane;
      const marked = marks && marksOn(marks, built.lane);
      if (own.length === 0 && !facets && !marked) return plainLane(built);
      let solid = solids.fromMesh(built.mesh);
      if (facets) solid = cutFacets(solids, solid, built.lane, facets, design.widthMm);
      for (const row of own) solid = setStones(solids, solid, row, design.chordToleranceMm);
      if (marked) solid = cutMarks(solids, solid, built.lane, marks, design.chordToleranceMm);
      const mesh = toTriMesh(solid);
      return { ...plainLane(built), mesh, volumeMm3: meshVolume(mesh) };
    });
  } finally {
    solids.free();
  }
}

function stoneRow({ name, slot, stone, places, whole }: RowPlan): StoneRow {
  const placements = places.flatMap(({ frame: { x, y, axis, origin } }) =>
    [0, 1, 2].flatMap((k) => [x[k], y[k], axis[k], origin[k]]),
  );
  return {
    name,
    slot,
    stone: stone.solid,
    placements: Float64Array.from(placements),
    count: places.length,
    gapMm: whole.places.gapMm,
  };
}
