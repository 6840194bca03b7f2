import type { Lane } from '../band/lane.ts';
import { midRadius } from '../band/profile.ts';
import type { RowDesign } from '../plan/design.ts';
import { rowFrame } from './row-curve.ts';
import { bracketedRoot, type Span, stepChord } from './row-layout.ts';
import { leastSeparation } from './separation.ts';
import { standingFrame } from './standing.ts';
import type { Frame, Stone } from './stone.ts';
import type { Vec } from './vec.ts';

/** Where stones of any sizes are to be spread: along the middle of a lane, at depths of their own. */
export interface Line {
  lane: Lane;
  row: RowDesign;
  coverage: Span;
  /** depth of a stone's girdle plane below the surface, mm */
  depthOf(stone: Stone): number;
}

const TURN = 2 * Math.PI;
/** Rounds in which the places of stones that are turned against each other settle. */
const ROUNDS = 8;

/** Size of a stone along its row, mm. */
export function reachAlong({ solid }: Stone): number {
  return solid.lengthMm ?? solid.diameterMm;
}

export function frameOf({ lane, row, depthOf }: Line, stone: Stone, theta: number): Frame {
  return standingFrame(row, lane, stone, depthOf(stone), theta);
}

/**
 * Angles of stones with one gap between all neighbours, along the curve in space: from 0 round and back to the first
 * (one angle more than stones) on a full row; else centred at the top, about the middle stone itself where the row has
 * a centre. Undefined where the curve has no such places.
 */
export function placesWithGap(line: Line, stones: Stone[], gapMm: number): number[] | undefined {
  const closed = line.coverage.kind === 'full';
  // a closed walk comes back to the first stone, at an angle that is a whole turn only with the right gap
  const walked = closed ? [...stones, stones[0]] : stones;
  const bare = walked.slice(1).map((next, i) => (reachAlong(walked[i]) + reachAlong(next)) / 2 + gapMm);
  let chords = bare;
  for (let round = 0; ; round++) {
    const angles = walkStones(line, stones, chords, closed);
    if (!angles || stones.every(({ girdle }) => girdle.kind === 'round') || round === ROUNDS) return angles;
    const frames = walked.map((stone, i) => frameOf(line, stone, angles[i]));
    const short = bare.map(
      (_, i) => gapMm - leastSeparation(walked[i], frames[i], walked[i + 1], frames[i + 1]),
    );
    if (short.every((s) => Math.abs(s) < 1e-7)) return angles;
    chords = chords.map((chord, i) => chord + short[i]);
  }
}

/** Angle left over with a gap, radians; negative where the stones need more room than there is. */
export function slack(line: Line, stones: Stone[], gapMm: number): number {
  const angles = placesWithGap(line, stones, gapMm);
  if (!angles) return Number.NEGATIVE_INFINITY;
  const { coverage } = line;
  if (coverage.kind === 'full') return TURN - angles[stones.length];
  const ends = [0, stones.length - 1].map((i) => {
    const [x, y] = frameOf(line, stones[i], angles[i]).origin;
    const half = Math.asin(Math.min(1, reachAlong(stones[i]) / 2 / Math.hypot(x, y)));
    return coverage.angleRad / 2 - Math.abs(angles[i]) - half;
  });
  return Math.min(...ends);
}

/** The gap with which stones just fill the coverage, mm; negative where they would overlap, undefined beyond that. */
export function fillingGap(line: Line, stones: Stone[]): number | undefined {
  const room = midRadius(line.lane.outer) * TURN;
  const least = Math.min(...stones.map(reachAlong));
  const lack = (gap: number) => -slackWithin(line, stones, gap);
  for (const overlap of OVERLAPS) {
    const gap = bracketedRoot(lack, -overlap * least, room / stones.length);
    if (gap !== undefined) return gap;
  }
  return undefined;
}

/** Overlaps that are still told as a number, as shares of the smallest stone. */
const OVERLAPS = [0.05, 0.4];

/** Slack, as a large lack where the places do not exist. */
function slackWithin(line: Line, stones: Stone[], gap: number): number {
  const left = slack(line, stones, gap);
  return Number.isFinite(left) ? left : -TURN;
}

function walkStones(line: Line, stones: Stone[], chords: number[], closed: boolean): number[] | undefined {
  if (closed) return sound(walk(line, [...stones, stones[0]], chords, 0, 1));
  if (line.row.centre) {
    const middle = (stones.length - 1) / 2;
    const right = walk(line, stones.slice(middle), chords.slice(middle), 0, 1);
    const left = walk(line, stones.slice(0, middle + 1).reverse(), chords.slice(0, middle).reverse(), 0, -1);
    return sound([...left.slice(1).reverse(), ...right]);
  }
  if (stones.length === 1) return [0];
  const lopsided = (from: number) => from + walk(line, stones, chords, from, 1).at(-1)!;
  const start = bracketedRoot(lopsided, -Math.PI, 0);
  return start === undefined ? undefined : sound(walk(line, stones, chords, start, 1));
}

const sound = (angles: number[]) => (angles.every(Number.isFinite) ? angles : undefined);

/** Steps from stone to stone, each at the depth of its own girdle; `way` −1 goes towards smaller angles. */
function walk(line: Line, stones: Stone[], chords: number[], from: number, way: 1 | -1): number[] {
  const curveOf = (stone: Stone) => {
    const depth = line.depthOf(stone);
    return (theta: number): Vec => rowFrame(line.lane, depth, way * theta).origin;
  };
  const angles = [from];
  for (let i = 1; i < stones.length; i++) {
    const start = curveOf(stones[i - 1])(angles[i - 1]);
    angles.push(stepChord(curveOf(stones[i]), angles[i - 1], chords[i - 1], start));
  }
  return way === 1 ? angles : angles.map((theta) => -theta);
}
