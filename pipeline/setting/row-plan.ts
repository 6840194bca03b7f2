import { degrees, mm } from '../band/design-problems.ts';
import type { Lane } from '../band/lane.ts';
import { midRadius, radiusAt } from '../band/profile.ts';
import type { RowDesign } from '../catalogue/design.ts';
import type { Problem } from '../problem.ts';
import { CUTS } from '../trade/cuts.ts';
import { type Channel, planChannel } from './channel.ts';
import { type Claw, planClaws } from './claw.ts';
import { axisHeight, thetaOf, wallBesideOutline } from './clearance.ts';
import { type Flush, planFlush } from './flush.ts';
import { type Girdle, girdleExtent } from './girdle.ts';
import { rowCurve, rowFrame } from './row-curve.ts';
import { largestCount, placeAtAngles, type RowLayout, type Span, spreadRow } from './row-layout.ts';
import { type Seat, seatFor } from './seat.ts';
import { leastSeparation } from './separation.ts';
import { alongRow, cutStone, type Frame, type Stone, toBand } from './stone.ts';
import type { Vec } from './vec.ts';

/** One stone in its place, with what is left of the metal round it; mm. */
export interface Place {
  frame: Frame;
  theta: number;
  /** height along the axis of the lane's surface and of the bore */
  surface: number;
  bore: number;
  /** the lane's surface where it lies lowest below the girdle: at the middle, or at a long stone's ends */
  lowSurface: number;
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
  /** of a row between two walls */
  channel?: Channel;
  /** of stones level with the metal */
  flush?: Flush;
}

/** Thinnest metal beside a seat that is still a solid wall, mm. Bench checks ask for more. */
const LEAST_SEAT_WALL_MM = 0.05;
/** Thinnest floor under a closed seat that is still a solid floor, mm. */
const LEAST_FLOOR_MM = 0.1;

/** Works out a row: stone, count, places, claws. Returns either the plan or everything that forbids it. */
export function planRow(given: RowDesign, index: number, lanes: Lane[]): RowPlan | Problem[] {
  const path = `rows[${index}]`;
  const lane = lanes.find(({ name }) => name === given.lane);
  if (!lane) {
    const names = lanes.map(({ name }) => `'${name}'`).join(', ');
    return [
      problem('unknown-lane', `${path}.lane`, `one of ${names}`, `'${given.lane}'`, 'Name an existing lane.'),
    ];
  }
  const plain = plainProblems(given, path);
  if (plain.length > 0) return plain;
  const stone = cutStone(given.cut, given.diameterMm, given.lengthMm);
  const flat = given.setting.style === 'flush';
  const row = flat ? { ...given, setDepthMm: stone.tableHeight } : given;
  const layout = layOut(row, lane, stone, path);
  if (Array.isArray(layout)) return layout;
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
  const channel = planChannel(row, path, lane, stone, seat, layout, places);
  if (channel && 'problems' in channel) found.push(...channel.problems);
  const flush = planFlush(row, path, lane, stone, seat, layout, places);
  if (flush && 'problems' in flush) found.push(...flush.problems);
  if (found.length > 0 || !Array.isArray(claws) || (channel && 'problems' in channel)) return found;
  if (flush && 'problems' in flush) return found;
  return { index, design: row, lane, stone, seat, layout, places, claws, channel, flush };
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
  found.push(...cutProblems(row, path));
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

/** Length and diameter that the cut allows. */
function cutProblems(row: RowDesign, path: string): Problem[] {
  const cut = CUTS.get(row.cut)!;
  const { diameterMm, lengthMm } = row;
  if (cut.round || !(diameterMm > 0)) {
    if (lengthMm === undefined) return [];
    const advice = 'Round cuts have a diameter only.';
    return [problem('length-of-round', `${path}.lengthMm`, 'none', mm(lengthMm), advice)];
  }
  const length = lengthMm ?? diameterMm;
  const ratio = Math.max(length / diameterMm, diameterMm / length);
  const { least, most } = cut.ratio;
  if (ratio >= least - 1e-9 && ratio <= most + 1e-9) return [];
  const expected = `${least} to ${most} times as long as wide (${cut.label.toLowerCase()})`;
  const received = `${mm(length)} by ${mm(diameterMm)}`;
  const advice = 'Give length and diameter within these proportions, or another cut.';
  return [problem('cut-proportions', `${path}.lengthMm`, expected, received, advice)];
}

/** Rounds of the search for a pitch that keeps the gap between stones that are turned against each other. */
const PITCH_ROUNDS = 8;

/**
 * Spreads the row. Round stones are as far apart as their centres say; others come closer where the row bends, so
 * the pitch is raised until the least gap is kept between every two neighbours.
 */
function layOut(row: RowDesign, lane: Lane, stone: Stone, path: string): RowLayout | Problem[] {
  if (row.coverage.kind === 'angles') return layOutAngles(row, row.coverage.anglesRad, lane, stone, path);
  let pitch = alongRow(row) + row.leastGapMm;
  for (let round = 0; ; round++) {
    const layout = layOutAt(row, row.coverage, lane, pitch, path);
    if (stone.girdle.kind === 'round' || Array.isArray(layout) || round === PITCH_ROUNDS) return layout;
    const frames = layout.angles.map((theta) => rowFrame(lane, row.setDepthMm, theta));
    const short = row.leastGapMm - neighbourGap(stone, frames, layout);
    if (!(short > 1e-9)) return layout;
    pitch += short + 1e-6;
  }
}

/** Least distance between neighbouring stones of a row, mm; infinite for a single stone. */
export function neighbourGap(stone: Stone, frames: Frame[], { chord, closed }: RowLayout): number {
  if (frames.length < 2) return Number.POSITIVE_INFINITY;
  if (stone.girdle.kind === 'round') return chord - 2 * stone.girdle.radius;
  const next = closed ? [...frames.slice(1), frames[0]] : frames.slice(1);
  return Math.min(...next.map((b, i) => leastSeparation(stone, frames[i], stone, b)));
}

/** Stones where the file puts them, as long as they keep the least gap. */
function layOutAngles(
  row: RowDesign,
  anglesRad: number[],
  lane: Lane,
  stone: Stone,
  path: string,
): RowLayout | Problem[] {
  if (anglesRad.length === 0 || (row.count !== 'fit' && row.count !== anglesRad.length)) {
    const expected = "'fit' or as many as there are angles, and at least one";
    const received = `${row.count} with ${anglesRad.length} angles`;
    return [problem('count-of-angles', `${path}.count`, expected, received, 'Leave the count out.')];
  }
  const layout = placeAtAngles(rowCurve(lane, row.setDepthMm), anglesRad);
  const frames = layout.angles.map((theta) => rowFrame(lane, row.setDepthMm, theta));
  const gap = neighbourGap(stone, frames, layout);
  if (gap >= row.leastGapMm - 1e-9) return layout;
  const expected = `gaps of at least ${mm(row.leastGapMm)} between the stones`;
  return [
    problem(
      'angles-too-close',
      `${path}.coverage`,
      expected,
      mm(gap),
      'Move the angles apart or use smaller stones.',
    ),
  ];
}

function layOutAt(
  row: RowDesign,
  coverage: Span,
  lane: Lane,
  pitch: number,
  path: string,
): RowLayout | Problem[] {
  const curve = rowCurve(lane, row.setDepthMm);
  const size = alongRow(row);
  const largest = largestCount(curve, pitch, coverage, size);
  const least = coverage.kind === 'full' ? 3 : 1;
  const count = row.count === 'fit' ? largest : row.count;
  const layout = count >= least ? spreadRow(curve, count, pitch, coverage, size) : undefined;
  if (count > largest) {
    const gap = layout?.closed ? `, which leaves gaps of ${mm(layout.chord - size)}` : '';
    const expected = `at most ${largest} stones of ${mm(size)} with gaps of ${mm(row.leastGapMm)}`;
    const advice = "Use fewer or smaller stones, or 'fit'.";
    return [problem('too-many-stones', `${path}.count`, expected, `${count}${gap}`, advice)];
  }
  if (!layout) {
    const expected = `room for at least ${least} stones of ${mm(size)}`;
    return [problem('no-room-for-stones', path, expected, `room for ${count}`, 'Use smaller stones.')];
  }
  return layout;
}

function placeAt(frame: Frame, lane: Lane, stone: Stone, seat: Seat): Place {
  const surface = axisHeight(frame, lane.outer);
  const bore = axisHeight(frame, lane.bore);
  const { opening } = seat;
  const hole = seat.hole ?? POINT;
  const levels: [number, Girdle][] = [
    [surface, opening],
    [seat.bearingTop, opening],
    [seat.bearingFoot, hole],
    [bore, hole],
    ...raisedNeighbours(lane).map((step): [number, Girdle] => [
      Math.min(surface + step, stone.tableHeight),
      opening,
    ]),
  ];
  return {
    frame,
    theta: thetaOf(frame.origin),
    surface,
    bore,
    lowSurface: Math.min(surface, ...girdleEnds(stone).map((p) => surfaceBelow(frame, p, lane))),
    wall: Math.min(...levels.map(([h, outline]) => wallBesideOutline(lane, frame, h, outline))),
    culetAbove: Math.min(
      ...stone.pavilionCorners.map((corner) => {
        const p = toBand(frame, corner);
        return Math.hypot(p[0], p[1]) - radiusAt(lane.bore(thetaOf(p)), p[2]);
      }),
    ),
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

function surfaceBelow(frame: Frame, p: Vec, lane: Lane): number {
  return axisHeight({ ...frame, origin: toBand(frame, p) }, lane.outer);
}

/** By how much the lanes beside this one stand above it, mm. */
function raisedNeighbours(lane: Lane): number[] {
  return [lane.low, lane.high].flatMap(({ mate }) => {
    const step = mate ? midRadius(mate.outer) - midRadius(lane.outer) : 0;
    return step > 0 ? [step] : [];
  });
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
  const buried = places.find((place) => place.surface > stone.tableHeight + 1e-6);
  if (buried) {
    const expected = `the table at or above the metal (at most ${mm(stone.tableHeight)} deep)`;
    const received = `${mm(buried.surface)} at θ = ${degrees(buried.theta)}`;
    found.push(problem('stone-buried', `${path}.setDepthMm`, expected, received, 'Set the stones higher.'));
  }
  const loose = places.find((place) => place.lowSurface < (seat.bearingTop + seat.bearingFoot) / 2);
  if (loose) {
    const expected = 'a bearing under at least the upper half of the pavilion';
    const received = `metal ${mm(-loose.lowSurface)} below the girdle at θ = ${degrees(loose.theta)}`;
    found.push(
      problem('stone-not-seated', `${path}.setDepthMm`, expected, received, 'Set the stones deeper.'),
    );
  }
  return found;
}
