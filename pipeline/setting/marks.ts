import type { Manifold } from 'manifold-3d';
import type { MarkFacts } from '../band/built-shape.ts';
import { mm } from '../band/design-problems.ts';
import { DEEPEST_BLOW, narrowestOuter } from '../band/hammer.ts';
import { type Lane, type LaneBound, laneMiddle, wholeBand } from '../band/lane.ts';
import { boreEnd } from '../band/lane-section.ts';
import { boreSurface } from '../band/outside.ts';
import { problem } from '../band/problem-words.ts';
import { midRadius, tangentZ } from '../band/profile.ts';
import type { ShapeDesign } from '../catalogue/design.ts';
import { type Problem, ProblemError } from '../problem.ts';
import {
  type CutPoint,
  cutOf,
  type EngravedSide,
  type Engraving,
  headsOf,
  type Obstacle,
  onSurface,
  planEngraving,
  radialMetal,
} from './engraving.ts';
import { girdleReach, outsideGirdle } from './girdle.ts';
import { type Groove, grooveMesh, planGroove } from './groove.ts';
import { letterCutter } from './letter-cutter.ts';
import { beadMesh, beadsInSeats, beadWidth, distances, type Milgrain, planMilgrain } from './milgrain.ts';
import type { RowPlan, WholeRow } from './row-plan.ts';
import type { NativeSolids, SolidKernel } from './solid-kernel.ts';
import { toStone } from './stone.ts';

/** Everything that is cut along seams and edges and into surfaces, worked out. */
export interface Marks {
  grooves: Groove[];
  milgrains: Milgrain[];
  engravings: Engraving[];
}

/** Whether a design has any marks, so that the boolean engine is needed. */
export function hasMarks({ seams, engraving, edgeMilgrain }: ShapeDesign): boolean {
  return edgeMilgrain !== undefined || engraving !== undefined || seams.some(({ marks }) => marks);
}

/** Metal that stays beside a mark, to a seam, an edge or another mark, mm. */
const BESIDE_MM = 0.05;
/** Metal that stays between letters and a seat or its hole, mm. */
const BESIDE_SEAT_MM = 0.15;
/** Closed seats leave at least this much over the letters' floor, mm. */
const OVER_FLOOR_MM = 0.1;
/** Least of a lane's outside that is left between the marks on its two sides, mm. */
const LEAST_LEFT_MM = 0.2;
/** Cutters of letters reach this far out of the metal, and have no longer edges, mm. */
const PROUD_MM = 0.1;
const LONGEST_EDGE_MM = 0.2;

/** @throws ProblemError with every mark that cannot be made */
export function planMarks(kernel: SolidKernel, design: ShapeDesign, lanes: Lane[], rows: WholeRow[]): Marks {
  const { problems, ...along } = planSeamMarks(design, lanes);
  const marks: Marks = { ...along, engravings: [] };
  problems.push(...onFacets(marks, design, lanes));
  if (problems.length === 0) {
    problems.push(...crowded(lanes, marks), ...groovesInSeats(marks, rows));
    for (const m of marks.milgrains)
      problems.push(
        ...beadsInSeats(m, rows, m.along === 'edge' ? 'edges.milgrain' : `seams.${m.along}.milgrain`),
      );
  }
  const { inside, outside } = design.engraving ?? {};
  const fits = problems.length === 0;
  const keep = keeper(problems);
  if (inside && fits) {
    const bore = boreSurface(design);
    keep(
      planEngraving(
        kernel,
        inside,
        'inside',
        bore,
        undefined,
        0,
        design.chordToleranceMm,
        metalOf(design, lanes, 'inside'),
        [
          edgesOfBore(design),
          ...rows.flatMap(({ sets }) => sets.map((set) => seatFromBelow(set, inside.depthMm))),
        ],
      ),
      marks.engravings,
    );
  }
  if (outside && fits) keep(planOutside(kernel, design, outside, lanes, rows, marks), marks.engravings);
  if (problems.length > 0) throw new ProblemError(problems);
  return marks;
}

/** Puts what was planned into a list, or its problems to the others. */
function keeper(problems: Problem[]) {
  return <T extends object>(planned: T | Problem[], list: T[]) => {
    if (Array.isArray(planned)) problems.push(...planned);
    else list.push(planned);
  };
}

/** Grooves and beads along seams and edges, each for itself, and what forbids them. */
export function planSeamMarks(
  design: ShapeDesign,
  lanes: Lane[],
): Pick<Marks, 'grooves' | 'milgrains'> & { problems: Problem[] } {
  const problems: Problem[] = [];
  const keep = keeper(problems);
  const grooves: Groove[] = [];
  const milgrains: Milgrain[] = [];
  design.seams.forEach(({ marks }, i) => {
    if (!marks) return;
    const { seam, groove, milgrain } = marks;
    const [low, high] = [lanes[i], lanes[i + 1]];
    if (groove) keep(planGroove(groove, `seams.${seam}.groove`, seam, low, high), grooves);
    if (!milgrain) return;
    const carrier = beadLane(milgrain.lane, low, high);
    const bound = carrier === low ? low.high : high.low;
    const cleared = (groove?.widthMm ?? 0) / 2;
    keep(planMilgrain(milgrain, `seams.${seam}.milgrain`, seam, carrier, bound, cleared), milgrains);
  });
  if (design.edgeMilgrain) {
    for (const [lane, bound] of edgesOf(lanes))
      keep(planMilgrain(design.edgeMilgrain, 'edges.milgrain', 'edge', lane, bound, 0), milgrains);
  }
  return { grooves, milgrains, problems };
}

function planOutside(
  kernel: SolidKernel,
  design: ShapeDesign,
  outside: NonNullable<NonNullable<ShapeDesign['engraving']>['outside']>,
  lanes: Lane[],
  rows: WholeRow[],
  marks: Marks,
): Engraving | Problem[] {
  const lane = lanes.find(({ name }) => name === outside.lane);
  const path = 'engraving.outside';
  if (!lane) {
    const names = lanes.map(({ name }) => `'${name}'`).join(', ');
    return [
      problem(
        'unknown-lane',
        `${path}.lane`,
        `one of ${names}`,
        `'${outside.lane}'`,
        'Name an existing lane.',
      ),
    ];
  }
  if (lane.hammer) {
    const expected = 'a lane that is not hammered';
    return [
      problem(
        'engraving-on-hammer',
        `${path}.lane`,
        expected,
        `'${lane.name}', hammered`,
        'Choose another lane.',
      ),
    ];
  }
  const { z } = laneMiddle(lane, outside.atRad);
  return planEngraving(
    kernel,
    outside,
    'outside',
    lane.outer,
    lane,
    z,
    design.chordToleranceMm,
    metalOf(design, lanes, 'outside'),
    [
      ...[lane.low, lane.high].map((bound) => sideOfLane(lane, bound, marks)),
      cornersOf(lane),
      ...rows.filter((row) => row.lane.index === lane.index).map(seatFromAbove),
    ],
  );
}

function beadLane(name: string | undefined, low: Lane, high: Lane): Lane {
  if (name !== undefined) return name === high.name ? high : low;
  return midRadius(high.outer) > midRadius(low.outer) ? high : low;
}

function edgesOf(lanes: Lane[]): [Lane, LaneBound][] {
  return [
    [lanes[0], lanes[0].low],
    [lanes[lanes.length - 1], lanes[lanes.length - 1].high],
  ];
}

/** Width beside a bound, square to it, that marks or the softening take. */
function taken(lane: Lane, bound: LaneBound, { grooves, milgrains }: Marks): number {
  const groove = grooves.find((g) =>
    g.lanes.some((l) => l.index === lane.index && sideOf(g, l) === bound.side),
  );
  const half = groove ? groove.design.widthMm / 2 : 0;
  const beads = milgrains.find((m) => m.lane.index === lane.index && Math.sign(beadSide(m)) === bound.side);
  return Math.max(bound.outerSoften, half + (beads ? beadWidth(beads.design) : 0));
}

const sideOf = ({ lanes: [low] }: Groove, lane: Lane): 1 | -1 => (lane.index === low.index ? 1 : -1);

/** Which side of its lane a line of beads runs along: the nearer one. */
function beadSide({ lane, frames: [{ origin }] }: Milgrain): number {
  const theta = Math.atan2(origin[0], origin[1]);
  return origin[2] - laneMiddle(lane, theta).z;
}

/** Grooves, beads and letters want the swept surface: facets are cut below it. */
function onFacets({ grooves, milgrains }: Marks, design: ShapeDesign, lanes: Lane[]): Problem[] {
  const outside = design.engraving?.outside?.lane;
  return lanes.flatMap((lane) => {
    if (!lane.facets) return [];
    const found = [
      ...grooves
        .filter((g) => g.lanes.some(({ index }) => index === lane.index))
        .map((g) => `a groove along '${g.seam}'`),
      ...milgrains.filter((m) => m.lane.index === lane.index).map(() => 'milgrain'),
      ...(outside === lane.name ? ['letters'] : []),
    ];
    return found.map((what) =>
      problem(
        'marks-on-facets',
        `lanes[${lane.index}].facets`,
        `facets or marks on lane '${lane.name}'`,
        `facets and ${what}`,
        'Leave the facets out, or put the marks on another lane.',
      ),
    );
  });
}

/** Rounded corners of the section, over which letters would be torn. */
function cornersOf(lane: Lane): Obstacle {
  return ({ theta, z }) => {
    const overlaps = lane
      .outer(theta)
      .pieces.filter(({ curvature }) => curvature > SHARP)
      .map(({ fromZ, toZ }) => Math.min(z - fromZ, toZ - z) + BESIDE_MM);
    return { overlapMm: Math.max(Number.NEGATIVE_INFINITY, ...overlaps), what: 'the section’s corners' };
  };
}

/** Curvature from which a part of the outside is a corner for letters, 1/mm. */
const SHARP = 1;

/** Lanes on which the marks of both sides leave too little between them. */
function crowded(lanes: Lane[], marks: Marks): Problem[] {
  return lanes.flatMap((lane) => {
    const [low, high] = [lane.low, lane.high].map((bound) => {
      const width = taken(lane, bound, marks);
      return width > bound.outerSoften ? width - bound.outerSoften : 0;
    });
    if (low + high === 0) return [];
    const narrow = narrowestOuter(lane);
    const left = narrow.width - low - high;
    if (left >= LEAST_LEFT_MM) return [];
    const expected = `at least ${mm(LEAST_LEFT_MM)} of lane '${lane.name}' between the grooves and beads on its sides`;
    return [
      problem(
        'marks-too-wide',
        `lanes[${lane.index}]`,
        expected,
        mm(left),
        'Use smaller beads, narrower grooves or a wider lane.',
      ),
    ];
  });
}

/** Grooves keep metal between themselves and every seat on the lanes beside them. */
function groovesInSeats({ grooves }: Marks, rows: WholeRow[]): Problem[] {
  return grooves.flatMap(({ seam, lanes, design }) =>
    rows
      .filter((row) => lanes.some(({ index }) => index === row.lane.index))
      .flatMap((row) => {
        const walls = row.members.map(({ place }) => place.wall);
        const left = Math.min(...walls, row.grain?.rail ?? Number.POSITIVE_INFINITY) - design.widthMm / 2;
        if (left >= BESIDE_SEAT_MM) return [];
        const expected = `at least ${mm(BESIDE_SEAT_MM)} between the groove and the seats of row '${row.design.name}'`;
        return [
          problem(
            'groove-in-seat',
            `seams.${seam}.groove`,
            expected,
            mm(left),
            'Make the groove narrower or the stones smaller.',
          ),
        ];
      }),
  );
}

/** Radial metal at a place, less the deepest hammer marks or the most that facets take. */
function metalOf(
  design: ShapeDesign,
  lanes: Lane[],
  side: EngravedSide,
): (theta: number, z: number) => number {
  const bore = boreSurface(design);
  const marks = Math.max(
    ...lanes.map(({ hammer, facets }) => {
      if (facets) return facets.depthMm + Math.tan(facets.slantRad) * design.widthMm;
      return hammer ? DEEPEST_BLOW * hammer.depthMm : 0;
    }),
  );
  return (theta, z) => radialMetal(lanes, side, bore, theta, z) - marks;
}

/** The rounded edges of the bore; seams in it are crossed, as the parts are joined before they are engraved. */
function edgesOfBore(design: ShapeDesign): Obstacle {
  const band = wholeBand(design);
  return ({ theta, z }) => {
    const overlaps = [band.low, band.high].map((bound) => {
      const { curve, boreSoften } = boreEnd(bound);
      const end = tangentZ(band.bore(theta), curve.z(theta) - bound.side * boreSoften, boreSoften);
      return bound.side * (z - end) + BESIDE_MM;
    });
    return { overlapMm: Math.max(...overlaps), what: 'the bore’s edges' };
  };
}

/** A seam or edge of the lane, with its softening, groove and beads. */
function sideOfLane(lane: Lane, bound: LaneBound, marks: Marks): Obstacle {
  const width = taken(lane, bound, marks);
  const { side, curve, mate } = bound;
  const what = mate
    ? `the seam on the ${side === 1 ? 'far' : 'near'} side of lane '${lane.name}'`
    : 'the band’s edge';
  return ({ theta, z }) => {
    // square to the seam the distance is shorter than along z
    const lean = Math.hypot(1, curve.slope(theta) / midRadius(lane.outer));
    return { overlapMm: (side * (z - curve.z(theta))) / lean + width + BESIDE_MM, what };
  };
}

function seatFromAbove(row: WholeRow): Obstacle {
  return ({ point }) => ({
    overlapMm: BESIDE_SEAT_MM - Math.min(...distances(row, point)),
    what: `the seats and claws of row '${row.design.name}'`,
  });
}

/** Through-holes of a row as they come out of the bore, and closed seats or blind holes that reach too near to it. */
function seatFromBelow({ design, name, seat, places }: RowPlan, depthMm: number): Obstacle {
  const { floorMm } = design;
  const through = floorMm === undefined ? seat.hole : undefined;
  const reach = girdleReach(seat.opening);
  return ({ point }: CutPoint) => {
    let overlapMm = Number.NEGATIVE_INFINITY;
    for (const { frame, bore, culetAbove } of places) {
      const [x, y, h] = toStone(frame, point);
      if (Math.abs(h - bore) > 1.5) continue;
      if (through) overlapMm = Math.max(overlapMm, BESIDE_SEAT_MM - outsideGirdle(through, x, y));
      else if (Math.hypot(x, y) < reach)
        overlapMm = Math.max(overlapMm, OVER_FLOOR_MM + depthMm - (floorMm ?? culetAbove));
    }
    return { overlapMm, what: `the ${through ? 'through-holes' : 'seats'} of row '${name}'` };
  };
}

/** Whether any mark touches a lane. */
export function marksOn({ grooves, milgrains, engravings }: Marks, lane: Lane): boolean {
  return (
    grooves.some(({ lanes }) => lanes.some(({ index }) => index === lane.index)) ||
    milgrains.some((m) => m.lane.index === lane.index) ||
    engravings.some((e) => reaches(e, lane))
  );
}

/** Letters in the bore are cut into every lane that goes through to it. */
function reaches(e: Engraving, lane: Lane): boolean {
  return e.side === 'inside' ? !lane.inlaid : e.lane?.index === lane.index;
}

/** Cuts a lane's grooves and letters and fuses its beads on, in that order. */
export function cutMarks(
  solids: NativeSolids,
  solid: Manifold,
  lane: Lane,
  marks: Marks,
  chordMm: number,
): Manifold {
  const grooves = marks.grooves
    .filter(({ lanes }) => lanes.some(({ index }) => index === lane.index))
    .map((groove) => solids.fromMesh(grooveMesh(groove, chordMm)));
  const letters = marks.engravings.filter((e) => reaches(e, lane)).map((e) => lettersSolid(solids, e));
  const cut = solids.subtract(solid, [...grooves, ...letters]);
  const beads = marks.milgrains
    .filter((m) => m.lane.index === lane.index)
    .flatMap((m) => m.frames.map((frame) => solids.fromMesh(beadMesh(frame, m.design.beadMm, chordMm))));
  return beads.length === 0 ? cut : solids.unite([cut, ...beads]);
}

function lettersSolid(solids: NativeSolids, { design, laid, letters }: Engraving): Manifold {
  const cut = { ...cutOf(design), proudMm: PROUD_MM };
  const cutters = letters.map((letter) => letterCutter(solids, letter, cut));
  return solids.laidOn(solids.unite(cutters), LONGEST_EDGE_MM, (s, t, h) =>
    onSurface(laid, [s, t], h - design.depthMm),
  );
}

/** What a catalogue tells of a band's marks. */
export function markFacts({ grooves, milgrains, engravings }: Marks): MarkFacts {
  return {
    engravings: engravings.map(({ design, side, lane, laid, stroke }) => ({
      side,
      ...(lane ? { lane: lane.name } : {}),
      text: design.text,
      style: design.style,
      heightMm: design.heightMm,
      depthMm: design.depthMm,
      lengthMm: laid.lengthMm,
      atDeg: (design.atRad * 180) / Math.PI,
      heads: headsOf(design, side),
      wallDeg: ((design.slantRad ?? 0) * 180) / Math.PI,
      strokeMm: stroke.widthMm,
    })),
    milgrain: milgrains.map(({ along, lane, design, frames, pitchMm }) => ({
      along,
      lane: lane.name,
      beadMm: design.beadMm,
      pitchMm,
      count: frames.length,
    })),
    grooves: grooves.map(({ seam, design }) => ({ along: seam, ...design })),
  };
}
