import type { Lane } from '../band/lane.ts';
import { degrees, mm } from '../band/problem-words.ts';
import { midRadius } from '../band/profile.ts';
import { finenessOf, sweepAngles } from '../band/sweep-angles.ts';
import type { WeldedMesh } from '../band/welded-mesh.ts';
import type { RowDesign } from '../plan/design.ts';
import type { SettingOf } from '../plan/setting-design.ts';
import type { Problem, Result } from '../problem.ts';
import { CUTS } from '../trade/cuts.ts';
import { axisHeight, thetaOf } from './clearance.ts';
import { rowFrame } from './row-curve.ts';
import type { Seat } from './seat.ts';
import { reachAlong } from './spread.ts';
import { crownHeightAt, type Frame, type Stone, toBand } from './stone.ts';
import { type Corners, type Fill, sweepOutline } from './swept-cutter.ts';
import { dot, sub } from './vec.ts';

/** A groove along a row, with a slot in either wall for the girdles. Heights along the stones' axes, mm. */
export interface Channel {
  /** half the width between the walls */
  half: number;
  /** half the width between the bottoms of the two bearing slots */
  ledge: number;
  /** the bearing slot reaches this far above and below the girdle plane */
  slot: number;
  /** height of the groove's floor, below the girdle plane */
  floor: number;
  /** angles between which it runs; all round if absent */
  ends?: [from: number, to: number];
  /** least metal over the girdle at the walls' inner edges */
  lip: number;
  /** least metal between the groove's floor and the bore */
  underFloor: number;
}

/** Depth of the groove below the surface, as a share of the stone's depth: 75–100 % is published, see the rules. */
export const GROOVE_DEPTH = 0.75;
/** Thinnest metal over a girdle, and under the floor, that is still solid, mm. Bench checks ask for more. */
const LEAST_LIP_MM = 0.05;
const LEAST_FLOOR_MM = 0.2;
/** The slot is this much larger than the seats that it joins, so that no two cuts are one surface, mm. */
const SLOT_AIR_MM = 0.007;
/** The groove runs on past the last girdle by this, mm. */
const END_AIR_MM = 0.05;

/** A stone between the walls, with its seat and the bore below it. */
export interface Channelled {
  frame: Frame;
  theta: number;
  bore: number;
  stone: Stone;
  seat: Seat;
}

/** The channel of a row; `stones` are in order, all as wide as the row says. */
export function planChannel(
  row: RowDesign,
  { openingShare }: SettingOf<'channel'>,
  path: string,
  lane: Lane,
  stones: Channelled[],
  closed: boolean,
): Result<Channel> {
  const { setDepthMm } = row;
  const problems: Problem[] = [];
  const refuse = (code: string, expected: string, received: string, advice: string) =>
    problems.push({ code, severity: 'error', path, expected, received, advice });
  const other = stones.find(({ stone }) => Math.abs(stone.solid.diameterMm - row.diameterMm) > 1e-9);
  if (other) {
    const expected = `stones of one width between the walls (${mm(row.diameterMm)})`;
    const advice =
      'The walls run at one distance, and narrower stones would not reach under them: give all one diameter (lengths and cuts may differ), or set them under grains.';
    refuse('channel-uneven', expected, mm(other.stone.solid.diameterMm), advice);
    return { problems };
  }
  const tapered = stones.find(({ stone }) => CUTS.get(stone.solid.cut)!.pointed);
  if (tapered) {
    const { label } = CUTS.get(tapered.stone.solid.cut)!;
    const advice =
      'The walls run at one distance and would not reach over the narrow end: use claws or grains.';
    refuse('channel-tapered', 'stones as wide at both ends between the walls', label.toLowerCase(), advice);
    return { problems };
  }
  const half = (openingShare * row.diameterMm) / 2;
  const floor = setDepthMm - GROOVE_DEPTH * Math.max(...stones.map(({ stone }) => stone.solid.depthMm));
  const lip = least(stones, ({ frame, stone, seat }) => lipAt(frame, lane, stone, seat, half));
  const underFloor = least(stones, ({ bore }) => floor - bore);
  if (lip.value < LEAST_LIP_MM) {
    const received = `${mm(lip.value)} at θ = ${degrees(lip.theta)}`;
    const expected = `at least ${mm(LEAST_LIP_MM)} of wall over the girdles`;
    refuse('channel-lip-thin', expected, received, 'Set the stones deeper or open the channel wider.');
  }
  if (underFloor.value < LEAST_FLOOR_MM) {
    const received = `${mm(underFloor.value)} at θ = ${degrees(underFloor.theta)}`;
    const expected = `at least ${mm(LEAST_FLOOR_MM)} of metal under the channel's floor`;
    refuse('channel-too-deep', expected, received, 'Thicken the band or use smaller stones.');
  }
  const channel: Channel = {
    half,
    ledge: row.diameterMm / 2 + Math.max(...stones.map(({ seat }) => seat.air)) + SLOT_AIR_MM,
    slot: Math.max(...stones.map(({ stone, seat }) => stone.halfGirdle + seat.air)) + SLOT_AIR_MM,
    floor,
    ...(closed ? {} : { ends: grooveEnds(row, stones) }),
    lip: lip.value,
    underFloor: underFloor.value,
  };
  const tight = tightestTurn(lane, row.setDepthMm, channel.ledge, channel.floor);
  if (tight !== undefined) {
    const expected = `a curve that bends less tightly than the channel is wide (${mm(2 * channel.ledge)})`;
    const advice = 'Lower the wave, use fewer waves or smaller stones.';
    refuse('channel-too-tight', expected, `a tighter bend at θ = ${degrees(tight)}`, advice);
  }
  return problems.length > 0 ? { problems } : channel;
}

function least<T extends { theta: number }>(places: T[], measure: (place: T) => number) {
  return places
    .map((place) => ({ value: measure(place), theta: place.theta }))
    .reduce((a, b) => (b.value < a.value ? b : a));
}

/** Metal between a stone's crown, with its air, and the surface at the walls' inner edges. */
function lipAt(frame: Frame, lane: Lane, stone: Stone, seat: Seat, half: number): number {
  const crown = crownHeightAt(stone, 0, half) + seat.air;
  const surfaces = [half, -half].map((y) =>
    axisHeight({ ...frame, origin: toBand(frame, [0, y, 0]) }, lane.outer),
  );
  return Math.min(...surfaces) - crown;
}

function grooveEnds({ leastGapMm }: RowDesign, stones: Channelled[]): [number, number] {
  const turn = ({ frame: { origin }, stone }: Channelled) => {
    const reach = (reachAlong(stone) + leastGapMm) / 2 + END_AIR_MM;
    return Math.asin(Math.min(1, reach / Math.hypot(origin[0], origin[1])));
  };
  const [first, last] = [stones[0], stones[stones.length - 1]];
  return [first.theta - turn(first), last.theta + turn(last)];
}

/** Cuts the groove and its two slots; flat ends where the row ends. */
export function grooveCutter(lane: Lane, row: RowDesign, channel: Channel, chordMm: number): WeldedMesh {
  const fineness = finenessOf(chordMm);
  const round = sweepAngles([lane.low.curve, lane.high.curve], midRadius(lane.outer), fineness);
  const frames = anglesWithin(round, channel.ends).map((theta) => rowFrame(lane, row.setDepthMm, theta));
  const { corners, fill } = grooveOutline(row, channel);
  return sweepOutline(frames, () => corners, fill, !channel.ends);
}

/** Angles of a whole turn that lie between the ends, and the ends themselves. */
export function anglesWithin(round: Float64Array, ends?: [number, number]): number[] {
  if (!ends) return [...round];
  const centred = [...round].map((theta) => (theta > Math.PI ? theta - 2 * Math.PI : theta));
  const [from, to] = ends;
  const inner = centred.filter((theta) => theta > from + 1e-4 && theta < to - 1e-4).sort((a, b) => a - b);
  return [from, ...inner, to];
}

/** Across the row (y) and along the axis (h), counter-clockwise, with rectangles that fill it. */
function grooveOutline(
  row: RowDesign,
  { half, ledge, slot, floor }: Channel,
): { corners: Corners; fill: Fill } {
  const top = Math.max(row.setDepthMm, slot) + row.diameterMm;
  const corners: [number, number][] = [
    [half, floor],
    [half, -slot],
    [ledge, -slot],
    [ledge, slot],
    [half, slot],
    [half, top],
  ];
  const mirrored = corners.map(([y, h]): [number, number] => [-y, h]).reverse();
  return {
    corners: [...corners, ...mirrored],
    fill: [
      [0, 1, 10, 11],
      [1, 2, 3, 4],
      [1, 4, 7, 10],
      [10, 7, 8, 9],
      [4, 5, 6, 7],
    ],
  };
}

/** θ where neighbouring sections of a groove `2 · half` wide would run into each other at height h, if anywhere. */
export function tightestTurn(lane: Lane, depth: number, half: number, h: number): number | undefined {
  const steps = 720;
  const frames = Array.from({ length: steps }, (_, i) => rowFrame(lane, depth, (2 * Math.PI * i) / steps));
  const pace = (a: Frame, b: Frame, y: number) => dot(sub(toBand(b, [0, y, h]), toBand(a, [0, y, h])), a.x);
  const tight = frames.find((a, i) => {
    const b = frames[(i + 1) % steps];
    const even = pace(a, b, 0);
    return [half, -half].some((y) => pace(a, b, y) < LEAST_PACE * even);
  });
  return tight && thetaOf(tight.origin);
}

/** Inner side of a bend against the middle: below this the sections crowd. */
const LEAST_PACE = 0.15;
