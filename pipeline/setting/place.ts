import type { Lane } from '../band/lane.ts';
import { deepestRelief } from '../band/lane-relief.ts';
import { degrees, mm, problem } from '../band/problem-words.ts';
import { midRadius, radiusAt } from '../band/profile.ts';
import { type RowDesign, rowSide } from '../plan/design.ts';
import type { Problem } from '../problem.ts';
import { axisHeight, thetaOf, wallBesideOutline, withinSoftening } from './clearance.ts';
import { behindHeight, faceHeight, pointsRound, rimBesideFaceCut, wallBesideFaceCut } from './face.ts';
import { type Girdle, girdleExtent, girdleReach } from './girdle.ts';
import { cutRadiusAt, type Seat } from './seat.ts';
import { type Frame, type Stone, toBand } from './stone.ts';
import type { Vec } from './vec.ts';

/** One stone in its place, with what is left of the metal round it; mm. */
export interface SeatedStone {
  frame: Frame;
  theta: number;
  /** height along the axis of the lane's surface and of the bore */
  surface: number;
  bore: number;
  /** the lane's surface where it lies lowest below the girdle: at the middle, or at a long stone's ends */
  lowSurface: number;
  /** the bore where it lies highest under the hole */
  highBore: number;
  /** least metal between the seat and the lane's sides */
  wall: number;
  /** the same at the lane's surface, up to where its edges are softened; negative where they are cut into */
  rim: number;
  /** radial distance from the bore, of stones in it from the outside, to the culet; negative when it sticks out */
  culetAbove: number;
}

/** Thinnest metal beside a seat that is still a solid wall, mm. Bench checks ask for more. */
const LEAST_SEAT_WALL_MM = 0.05;
/** Thinnest floor under a closed seat that is still a solid floor, mm. */
const LEAST_FLOOR_MM = 0.1;
/** A hole that ends at a floor goes at least this far below the culet, mm. */
const UNDER_CULET_MM = 0.05;

/** @param raised by a collar, so that the lane holds no more of the seat than lies below its surface */
export function placeAt(frame: Frame, lane: Lane, stone: Stone, seat: Seat, raised = false): SeatedStone {
  if (lane.face) return placeInFace(frame, lane, stone, seat);
  const surface = axisHeight(frame, lane.outer);
  const bore = axisHeight(frame, lane.bore);
  const { opening } = seat;
  const hole = seat.hole ?? POINT;
  const cut: Girdle = raised ? { kind: 'round', radius: cutRadiusAt(seat, surface) } : opening;
  const seatLevels: [number, Girdle][] = [
    [surface, cut],
    [seat.bearingTop, opening],
    [seat.bearingFoot, hole],
    [bore, hole],
    ...raisedNeighbours(lane).map((step): [number, Girdle] => [
      Math.min(surface + step, stone.tableHeight),
      opening,
    ]),
  ];
  const levels = raised ? seatLevels.filter(([h]) => h <= surface) : seatLevels;
  const across = girdleExtent(hole)[1] / 2;
  return {
    frame,
    theta: thetaOf(frame.origin),
    surface,
    bore,
    lowSurface: Math.min(surface, ...girdleEnds(stone).map((p) => heightBelow(frame, p, lane.outer))),
    highBore: Math.max(bore, ...[across, -across].map((y) => heightBelow(frame, [0, y, 0], lane.bore))),
    wall: Math.min(...levels.map(([h, outline]) => wallBesideOutline(lane, frame, h, outline))),
    rim: wallBesideOutline(withinSoftening(lane), frame, surface, cut),
    culetAbove: Math.min(
      ...stone.pavilionCorners.map((corner) => {
        const p = toBand(frame, corner);
        const over = Math.hypot(p[0], p[1]) - radiusAt(lane.bore(thetaOf(p)), p[2]);
        return lane.turned ? -over - deepestRelief(lane) : over;
      }),
    ),
  };
}

/** A stone in a side face, whose seat is closed; the lane's other side stands for the bore. */
function placeInFace(frame: Frame, lane: Lane, stone: Stone, seat: Seat): SeatedStone {
  const radius = girdleReach(seat.opening);
  const round = pointsRound(frame, 0, radius);
  const under = round.map((origin) => behindHeight(lane, { ...frame, origin }));
  const surface = faceHeight(lane, frame);
  const highBore = Math.max(...under);
  const levels: [number, number][] = [
    [surface, radius],
    [seat.bearingTop, radius],
    [seat.bearingFoot, 0],
  ];
  return {
    frame,
    theta: thetaOf(frame.origin),
    surface,
    bore: behindHeight(lane, frame),
    lowSurface: Math.min(surface, ...round.map((origin) => faceHeight(lane, { ...frame, origin }))),
    highBore,
    wall: Math.min(...levels.map(([h, rho]) => wallBesideFaceCut(lane, frame, h, rho))),
    rim: rimBesideFaceCut(lane, frame, radius),
    culetAbove: -stone.culetDepth - highBore,
  };
}

const POINT: Girdle = { kind: 'round', radius: 0 };

/** The four ends of a long girdle; a round one is judged by its middle. */
function girdleEnds({ girdle }: Stone): Vec[] {
  if (girdle.kind === 'round') return [];
  const [length, width] = girdleExtent(girdle);
  return [
    [length / 2, 0, 0],
    [-length / 2, 0, 0],
    [0, width / 2, 0],
    [0, -width / 2, 0],
  ];
}

/** Height along the axis, from a point of the stone's frame, of a surface of the lane. */
export function heightBelow(frame: Frame, p: Vec, arc: Lane['outer']): number {
  return axisHeight({ ...frame, origin: toBand(frame, p) }, arc);
}

/** Whether a row's stones stand on metal of their own over the band. */
export function isRaised({ setting: { style } }: RowDesign): boolean {
  return style === 'bezel' || style === 'head';
}

/** By how much the lanes beside this one stand above it, mm. */
export function raisedNeighbours(lane: Lane): number[] {
  if (lane.turned) return [];
  return [lane.low, lane.high].flatMap(({ mate }) => {
    const step = mate ? midRadius(mate.outer) - midRadius(lane.outer) : 0;
    return step > 0 ? [step] : [];
  });
}

/** What forbids seats in these places: sides cut open, culets through the bore, tables buried, no bearing. */
export function placeProblems(
  row: RowDesign,
  path: string,
  lane: Lane,
  stone: Stone,
  seat: Seat,
  places: SeatedStone[],
): Problem[] {
  return [...wallProblems(row, path, lane, places), ...depthProblems(row, path, stone, seat, places)];
}

function wallProblems(row: RowDesign, path: string, lane: Lane, places: SeatedStone[]): Problem[] {
  const worst = places.reduce((a, b) => (b.wall < a.wall ? b : a));
  if (worst.wall >= LEAST_SEAT_WALL_MM) return [];
  const room = lane.face ? 'a thicker band' : 'a wider lane or a lower wave';
  return [
    problem(
      'stone-wider-than-lane',
      path,
      `at least ${mm(LEAST_SEAT_WALL_MM)} of lane '${lane.name}' beside each seat`,
      `${mm(worst.wall)} beside the stone at θ = ${degrees(worst.theta)}`,
      `Use smaller stones than ${mm(row.diameterMm)}, or ${room}.`,
    ),
  ];
}

/** What lies behind the culets of a row's stones. */
const BEHIND = {
  outside: 'above the bore',
  bore: 'below the outside',
  face: 'from the other side of the lane',
} as const;

function depthProblems(
  row: RowDesign,
  path: string,
  stone: Stone,
  seat: Seat,
  places: SeatedStone[],
): Problem[] {
  const deepest = places.reduce((a, b) => (b.culetAbove < a.culetAbove ? b : a));
  const { floorMm } = row;
  const least = floorMm === undefined ? (row.holeShare > 0 ? 0 : LEAST_FLOOR_MM) : floorMm + UNDER_CULET_MM;
  const found: Problem[] = [];
  if (deepest.culetAbove < least) {
    const floor = floorMm === undefined ? '' : `, above a floor of ${mm(floorMm)}`;
    const expected = `the culet at least ${mm(least)} ${BEHIND[rowSide(row)]}${floor}`;
    const received = `${mm(deepest.culetAbove)} at θ = ${degrees(deepest.theta)}`;
    const advice = `The stone reaches ${mm(stone.culetDepth)} below its girdle: ${row.face ? 'widen' : 'thicken'} the band, set it higher or use smaller stones.`;
    found.push(problem('row-too-deep', path, expected, received, advice));
  }
  const buried = places.find((place) => place.surface > stone.tableHeight + 1e-6);
  if (buried) {
    const expected = `the table at or above the metal (at most ${mm(stone.tableHeight)} deep)`;
    const received = `${mm(buried.surface)} at θ = ${degrees(buried.theta)}`;
    found.push(problem('stone-buried', `${path}.set-depth`, expected, received, 'Set the stones higher.'));
  }
  const loose = isRaised(row)
    ? undefined
    : places.find((place) => place.lowSurface < (seat.bearingTop + seat.bearingFoot) / 2);
  if (loose) {
    const expected = 'a bearing under at least the upper half of the pavilion';
    const received = `metal ${mm(-loose.lowSurface)} below the girdle at θ = ${degrees(loose.theta)}`;
    found.push(
      problem('stone-not-seated', `${path}.set-depth`, expected, received, 'Set the stones deeper.'),
    );
  }
  return found;
}
