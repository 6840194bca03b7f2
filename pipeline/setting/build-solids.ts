import { type BuiltLane, buildLanes } from '../band/build-lanes.ts';
import type { BuiltShape, LaneSolid, StoneRow } from '../band/built-shape.ts';
import { boreRadius, type Lane } from '../band/lane.ts';
import { middleCurve, reachAcross, widthCurve, widthExtremes } from '../band/outline.ts';
import { touchingLanes } from '../band/strand.ts';
import { thicknesses } from '../band/thickness.ts';
import { meshVolume } from '../band/welded-mesh.ts';
import type { ShapeDesign } from '../plan/design.ts';
import type { GapDesign } from '../plan/gap-design.ts';
import { ProblemError, sortResults } from '../problem.ts';
import { findCollisions } from './collision.ts';
import { cutGaps, gapsBeside } from './gaps.ts';
import { cutFacets } from './lane-facets.ts';
import { type LaneShelf, laneKey } from './lane-shelf.ts';
import { cutMarks, marksOn, type UnmarkedLane } from './mark-cutting.ts';
import { hasMarks, type Marks, markFacts, planMarks } from './marks.ts';
import { planRow, type RowPlan, slotsOf, type WholeRow } from './row-plan.ts';
import { setStones } from './set-stones.ts';
import { loadSolidKernel, NativeSolids, type SolidKernel, toTriMesh } from './solid-kernel.ts';

/** A shape without what the bench says of it. */
export type Solids = Omit<BuiltShape, 'fits' | 'checks'>;

/** What is cut into lanes and set on them, worked out but not yet done. */
export interface Cuts {
  lanes: Lane[];
  rows: WholeRow[];
  gaps: readonly GapDesign[];
  /** wires that run into each other: where two are one, the metal is the first one's */
  joined: boolean;
  marks?: Marks;
}

/**
 * Builds the solids of a shape: one closed manifold per lane, with seats, grooves and letters cut and claws and
 * beads added, and its stones in their places. Pure apart from the boolean engine, which is loaded once unless given;
 * everything native is freed before it returns or throws. What is traced and modelled hangs on this and on nothing
 * that the bench says: no rule and no wording may be imported here.
 * @param shelf of lanes that were cut before; it changes nothing but the time that this takes
 * @throws ProblemError with every problem found: lanes too thin, stones too wide, too deep, too many, colliding
 */
export async function buildSolids(
  design: ShapeDesign,
  kernel?: SolidKernel,
  shelf?: LaneShelf,
): Promise<{ solids: Solids; cuts: Cuts }> {
  const lanes = buildLanes(design);
  const cuts = await planCuts(
    design,
    lanes.map(({ lane }) => lane),
    kernel,
  );
  const engine = needsCutting(cuts) ? (kernel ?? (await loadSolidKernel())) : undefined;
  const made = engine ? cutLanes(engine, design, lanes, cuts, shelf) : lanes.map(plainLane);
  return { solids: wholeShape(design, made, cuts), cuts };
}

/** Whether any lane is more than its sweep. */
export function needsCutting({ lanes, rows, gaps, joined, marks }: Cuts): boolean {
  return (
    joined || rows.length > 0 || gaps.length > 0 || marks !== undefined || lanes.some(({ facets }) => facets)
  );
}

/** The shape of these lanes with its stones and measures. */
export function wholeShape(
  design: ShapeDesign,
  lanes: LaneSolid[],
  { lanes: bare, rows, marks }: Cuts,
): Solids {
  const [top, back, ends] = thicknesses(design, bare);
  const { taper, flat } = design;
  const { strands } = design;
  return {
    lanes,
    rows: rows.flatMap(({ sets }) => sets.map(stoneRow)),
    innerDiameterMm: 2 * boreRadius(design),
    circumferenceMm: design.circumferenceMm,
    widthMm: design.outline ? widthCurve(design).z(0) : design.widthMm,
    thicknessMm: asDesigned(top.highest, design.thicknessMm + (flat?.riseMm ?? 0)),
    ...((taper || flat) && {
      back: {
        widthMm: taper?.widthMm ?? widthCurve(design).z(Math.PI),
        thicknessMm: asDesigned(back.highest, taper?.thicknessMm ?? design.thicknessMm),
      },
    }),
    ...(ends && { highestMm: ends.highest }),
    ...(design.outline && { outline: outlineMeasures(design) }),
    ...(strands && { touching: touchingLanes(design, strands) }),
    ...(marks ? { marks: markFacts(marks) } : {}),
  };
}

/** Places at which a shape tells its middle line. */
const MIDDLE_STEPS = 720;

function outlineMeasures(design: ShapeDesign): NonNullable<BuiltShape['outline']> {
  const { least, most } = widthExtremes(design);
  const [fromZMm, toZMm] = reachAcross(design);
  const { z } = middleCurve(design);
  const middleMm = Array.from({ length: MIDDLE_STEPS }, (_, i) => z((2 * Math.PI * i) / MIDDLE_STEPS));
  return { leastWidthMm: least.widthMm, mostWidthMm: most.widthMm, fromZMm, toZMm, middleMm };
}

/** A measure that is the design's own but for rounding is told as it was given. */
function asDesigned(measured: number, given: number): number {
  return Math.abs(measured - given) < 1e-6 ? given : measured;
}

export async function planCuts(
  design: ShapeDesign,
  lanes: Lane[],
  kernel: SolidKernel | undefined,
): Promise<Cuts> {
  const rows = planRows(design, lanes);
  const marks = hasMarks(design)
    ? planMarks(kernel ?? (await loadSolidKernel()), design, lanes, rows)
    : undefined;
  const beside = gapsBeside(design, rows, marks);
  if (beside.length > 0) throw new ProblemError(beside);
  const { gaps = [] } = design;
  const joined = design.strands?.between.kind === 'joined';
  return { lanes, rows, gaps, joined, ...(marks ? { marks } : {}) };
}

function planRows(design: ShapeDesign, lanes: Lane[]): WholeRow[] {
  const slots = slotsOf(design.rows);
  const plans = design.rows.map((row, i) => planRow(row, i, lanes, slots[i]));
  const { made: rows, problems } = sortResults(plans);
  if (problems.length === 0) problems.push(...findCollisions(rows));
  if (problems.length > 0) throw new ProblemError(problems);
  return rows;
}

/** A lane before anything is cut into it. */
export function plainLane({ lane, mesh }: BuiltLane): LaneSolid {
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
  cuts: Cuts,
  shelf: LaneShelf | undefined,
): LaneSolid[] {
  const solids = new NativeSolids(kernel);
  try {
    if (cuts.joined) return joinedStrands(solids, lanes);
    const begun = lanes.map((built) => begunLane(solids, design, built, cuts, shelf));
    const { marks } = cuts;
    const unmarked = marks ? begun.flatMap((b) => ('solid' in b && marksOn(marks, b.lane) ? [b] : [])) : [];
    const marked = marks ? cutMarks(solids, unmarked, marks, design.chordToleranceMm) : [];
    return begun.map((lane) => {
      if (!('solid' in lane)) return lane;
      const mesh = toTriMesh(marked[unmarked.indexOf(lane)] ?? lane.solid);
      const made = { ...plainLane(lane.built), mesh, volumeMm3: meshVolume(mesh) };
      if (lane.key) shelf?.put(lane.key, made);
      return made;
    });
  } finally {
    solids.free();
  }
}

/** A lane that is being cut. */
interface BegunLane extends UnmarkedLane {
  built: BuiltLane;
  /** of the shelf, if there is one */
  key?: string;
}

/** A lane with all but its marks, or as it comes out where nothing is cut into it or it was cut before. */
function begunLane(
  solids: NativeSolids,
  design: ShapeDesign,
  built: BuiltLane,
  { rows, gaps, marks }: Cuts,
  shelf: LaneShelf | undefined,
): BegunLane | LaneSolid {
  const { lane } = built;
  const own = rows.filter((row) => row.lane.index === lane.index);
  const { facets } = lane;
  if (own.length === 0 && gaps.length === 0 && !facets && !(marks && marksOn(marks, lane)))
    return plainLane(built);
  const key = shelf && laneKey(design, built);
  const before = key && shelf.get(key);
  if (before) return before;
  let solid = solids.fromMesh(built.mesh);
  if (facets) solid = cutFacets(solids, solid, lane, facets, design.widthMm);
  if (gaps.length > 0) solid = cutGaps(solids, solid, lane, design, gaps);
  for (const row of own) solid = setStones(solids, solid, row, design.chordToleranceMm);
  return { built, lane, solid, ...(key && { key }) };
}

/**
 * Wires that run into each other, each without what those before it have, so that they touch and share nothing.
 * @throws ProblemError when one falls apart
 */
function joinedStrands(solids: NativeSolids, strands: BuiltLane[]): LaneSolid[] {
  const wires = strands.map(({ mesh }) => solids.fromMesh(mesh));
  return strands.map((built, k) => {
    if (k === 0) return plainLane(built);
    const solid = solids.subtract(wires[k], wires.slice(0, k));
    const [largest, ...rest] = solids.parts(solid).sort((a, b) => b.volume() - a.volume());
    if (rest.some((part) => part.volume() > LEAST_PIECE_MM3)) {
      const received = `${rest.length + 1} pieces of '${built.lane.name}'`;
      const advice = 'Use thinner wires or a thicker band, so that they run less deep into each other.';
      throw new ProblemError([
        {
          code: 'strands-cut-through',
          severity: 'error',
          path: 'strands.wire',
          expected: 'wires in one piece',
          received,
          advice,
        },
      ]);
    }
    const mesh = toTriMesh(largest);
    return { ...plainLane(built), mesh, volumeMm3: meshVolume(mesh) };
  });
}

/** Smaller parts are what rounding leaves, mm³. */
const LEAST_PIECE_MM3 = 0.001;

function stoneRow({ name, slot, stone, places, whole }: RowPlan): StoneRow {
  const placements = places.flatMap(({ frame: { x, y, axis, origin } }) =>
    [0, 1, 2].flatMap((k) => [x[k], y[k], axis[k], origin[k]]),
  );
  return {
    name,
    slot,
    ...(whole.design.inside && { inside: true }),
    ...(whole.design.face && { face: whole.design.face }),
    stone: stone.solid,
    placements: Float64Array.from(placements),
    count: places.length,
    gapMm: whole.places.gapMm,
  };
}
