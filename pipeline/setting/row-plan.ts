import { degrees, mm } from '../band/design-problems.ts';
import type { Lane } from '../band/lane.ts';
import { radiusAt } from '../band/profile.ts';
import type { RowDesign } from '../catalogue/design.ts';
import type { Problem } from '../problem.ts';
import { type Claw, planClaws } from './claw.ts';
import { axisHeight, thetaOf, wallBeside } from './clearance.ts';
import { rowCurve, rowFrame } from './row-curve.ts';
import { largestCount, type RowLayout, spreadRow } from './row-layout.ts';
import { type Seat, seatFor } from './seat.ts';
import { cutStone, type Frame, type Stone, toBand } from './stone.ts';

/** One stone in its place, with what is left of the metal round it; mm. */
export interface Place {
  frame: Frame;
  theta: number;
  /** height along the axis of the lane's surface and of the bore */
  surface: number;
  bore: number;
  /** least metal between the seat and the lane's sides */
  wall: number;
  /** radial distance from the bore to the culet; negative when it sticks out */
  culetAbove: number;
}

/** A row worked out but not yet cut. */
export interface RowPlan {
  index: number;
  design: RowDesign;
  lane: Lane;
  stone: Stone;
  seat: Seat;
  layout: RowLayout;
  places: Place[];
  claws: Claw[];
}

/** Thinnest metal beside a seat that is still a solid wall, mm. Bench checks ask for more. */
const LEAST_SEAT_WALL_MM = 0.05;
/** Thinnest floor under a closed seat that is still a solid floor, mm. */
const LEAST_FLOOR_MM = 0.1;

/** Works out a row: stone, count, places, claws. Returns either the plan or everything that forbids it. */
export function planRow(row: RowDesign, index: number, lanes: Lane[]): RowPlan | Problem[] {
  const path = `rows[${index}]`;
  const lane = lanes.find(({ name }) => name === row.lane);
  if (!lane) {
    const names = lanes.map(({ name }) => `'${name}'`).join(', ');
    return [
      problem('unknown-lane', `${path}.lane`, `one of ${names}`, `'${row.lane}'`, 'Name an existing lane.'),
    ];
  }
  const plain = plainProblems(row, path);
  if (plain.length > 0) return plain;
  const layout = layOut(row, lane, path);
  if (Array.isArray(layout)) return layout;
  const stone = cutStone(row.cut, row.diameterMm);
  const seat = seatFor(stone, row.holeShare);
  const places = layout.angles.map((theta) =>
    placeAt(rowFrame(lane, row.setDepthMm, theta), lane, stone, seat),
  );
  const claws = planClaws(row, path, lane, stone, layout, places);
  const found = [
    ...wallProblems(row, path, lane, places),
    ...depthProblems(row, path, stone, seat, places),
    ...(Array.isArray(claws) ? [] : claws.problems),
  ];
  if (found.length > 0 || !Array.isArray(claws)) return found;
  return { index, design: row, lane, stone, seat, layout, places, claws };
}

export function problem(
  code: string,
  path: string,
  expected: string,
  received: string,
  advice: string,
): Problem {
  return { code, severity: 'error', path, expected, received, advice };
}

function plainProblems(row: RowDesign, path: string): Problem[] {
  const found: Problem[] = [];
  if (!(row.diameterMm > 0)) {
    found.push(
      problem('not-positive', `${path}.diameterMm`, 'above zero', `${row.diameterMm}`, 'Give a diameter.'),
    );
  }
  if (!(row.holeShare >= 0 && row.holeShare <= 0.9)) {
    const advice = 'The stone needs a bearing round the hole.';
    found.push(problem('hole-too-wide', `${path}.holeShare`, '0 to 0.9', `${row.holeShare}`, advice));
  }
  if (!(row.leastGapMm >= 0)) {
    found.push(
      problem('negative-gap', `${path}.leastGapMm`, '0 or more', `${row.leastGapMm}`, 'Stones never touch.'),
    );
  }
  if (row.coverage.kind === 'arc' && !(row.coverage.angleRad > 0 && row.coverage.angleRad < 2 * Math.PI)) {
    const received = `${((row.coverage.angleRad * 180) / Math.PI).toFixed(1)}°`;
    found.push(
      problem('arc-too-long', `${path}.coverage`, 'between 0 and 360°', received, 'Use full coverage.'),
    );
  }
  return found;
}

function layOut(row: RowDesign, lane: Lane, path: string): RowLayout | Problem[] {
  const curve = rowCurve(lane, row.setDepthMm);
  const pitch = row.diameterMm + row.leastGapMm;
  const largest = largestCount(curve, pitch, row.coverage, row.diameterMm);
  const least = row.coverage.kind === 'full' ? 3 : 1;
  const count = row.count === 'fit' ? largest : row.count;
  const layout = count >= least ? spreadRow(curve, count, pitch, row.coverage, row.diameterMm) : undefined;
  if (count > largest) {
    const gap = layout?.closed ? `, which leaves gaps of ${mm(layout.chord - row.diameterMm)}` : '';
    const expected = `at most ${largest} stones of ${mm(row.diameterMm)} with gaps of ${mm(row.leastGapMm)}`;
    const advice = "Use fewer or smaller stones, or 'fit'.";
    return [problem('too-many-stones', `${path}.count`, expected, `${count}${gap}`, advice)];
  }
  if (!layout) {
    const expected = `room for at least ${least} stones of ${mm(row.diameterMm)}`;
    return [problem('no-room-for-stones', path, expected, `room for ${count}`, 'Use smaller stones.')];
  }
  return layout;
}

function placeAt(frame: Frame, lane: Lane, stone: Stone, seat: Seat): Place {
  const surface = axisHeight(frame, lane.outer);
  const bore = axisHeight(frame, lane.bore);
  const levels: [number, number][] = [
    [surface, seat.openingRadius],
    [seat.bearingTop, seat.openingRadius],
    [seat.bearingFoot, seat.holeRadius],
    [bore, seat.holeRadius],
    ...raisedNeighbours(lane).map((step): [number, number] => [
      Math.min(surface + step, stone.tableHeight),
      seat.openingRadius,
    ]),
  ];
  const culet = toBand(frame, [0, 0, -stone.culetDepth]);
  return {
    frame,
    theta: thetaOf(frame.origin),
    surface,
    bore,
    wall: Math.min(...levels.map(([h, rho]) => wallBeside(lane, frame, h, rho))),
    culetAbove: Math.hypot(culet[0], culet[1]) - radiusAt(lane.bore, culet[2]),
  };
}

/** By how much the lanes beside this one stand above it, mm. */
function raisedNeighbours(lane: Lane): number[] {
  return [lane.low, lane.high].flatMap(({ mate }) =>
    mate && mate.outer.midR > lane.outer.midR ? [mate.outer.midR - lane.outer.midR] : [],
  );
}

function wallProblems(row: RowDesign, path: string, lane: Lane, places: Place[]): Problem[] {
  const worst = places.reduce((a, b) => (b.wall < a.wall ? b : a));
  if (worst.wall >= LEAST_SEAT_WALL_MM) return [];
  return [
    problem(
      'stone-wider-than-lane',
      path,
      `at least ${mm(LEAST_SEAT_WALL_MM)} of lane '${lane.name}' beside each seat`,
      `${mm(worst.wall)} beside the stone at θ = ${degrees(worst.theta)}`,
      `Use smaller stones than ${mm(row.diameterMm)}, a wider lane or a lower wave.`,
    ),
  ];
}

function depthProblems(row: RowDesign, path: string, stone: Stone, seat: Seat, places: Place[]): Problem[] {
  const deepest = places.reduce((a, b) => (b.culetAbove < a.culetAbove ? b : a));
  const least = row.holeShare > 0 ? 0 : LEAST_FLOOR_MM;
  const found: Problem[] = [];
  if (deepest.culetAbove < least) {
    const expected = `the culet at least ${mm(least)} above the bore`;
    const received = `${mm(deepest.culetAbove)} at θ = ${degrees(deepest.theta)}`;
    const advice = `The stone reaches ${mm(stone.culetDepth)} below its girdle: thicken the band, set it higher or use smaller stones.`;
    found.push(problem('row-too-deep', path, expected, received, advice));
  }
  const buried = places.find((place) => place.surface > stone.tableHeight);
  if (buried) {
    const expected = `the table at or above the metal (at most ${mm(stone.tableHeight)} deep)`;
    const received = `${mm(buried.surface)} at θ = ${degrees(buried.theta)}`;
    found.push(problem('stone-buried', `${path}.setDepthMm`, expected, received, 'Set the stones higher.'));
  }
  const loose = places.find((place) => place.surface < (seat.bearingTop + seat.bearingFoot) / 2);
  if (loose) {
    const expected = 'a bearing under at least the upper half of the pavilion';
    const received = `metal ${mm(-loose.surface)} below the girdle at θ = ${degrees(loose.theta)}`;
    found.push(
      problem('stone-not-seated', `${path}.setDepthMm`, expected, received, 'Set the stones deeper.'),
    );
  }
  return found;
}
