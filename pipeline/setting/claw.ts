import type { Lane } from '../band/lane.ts';
import { degrees, mm, problem } from '../band/problem-words.ts';
import type { ClawTip, RowDesign, SettingOf } from '../plan/design.ts';
import { isRefused, type Refusal, type Result } from '../problem.ts';
import { bendWithin, type Claw } from './claw-form.ts';
import { axisHeight, thetaOf, wallBeside } from './clearance.ts';
import type { StonePlace, StonePlaces } from './equal-places.ts';
import { girdleExtent, girdleReach, outsideGirdle } from './girdle.ts';
import { reachAlong } from './spread.ts';
import { standingFrame } from './standing.ts';
import { type Frame, type Stone, toBand, toStone, turnToBand } from './stone.ts';
import { isUneven } from './stone-order.ts';
import { add, along, cross, distance, dot, scale, sub, unit, type Vec } from './vec.ts';

/** How far a claw leans over each girdle, as a share of its diameter: a shared claw is notched at most 25 % a side. */
export const BITE_SHARE = 0.2;

/**
 * Frames of the two claws between neighbouring stones, on either side of the row, each overlapping both girdles
 * by `bite`, their y towards the row's middle. Undefined when the gap is too wide to reach both.
 */
export function clawFrames(
  a: PlacedStone,
  b: PlacedStone,
  clawRadius: number,
  bite: number,
  leanRad = 0,
): Frame[] | undefined {
  const [at, to] = [a.frame, b.frame];
  const chordMiddle = scale(add(at.origin, to.origin), 0.5);
  const axis = unit(add(at.axis, to.axis));
  // on a round band the two girdle planes meet above the chord
  const above = along(chordMiddle, axis, dot(sub(at.origin, chordMiddle), at.axis) / dot(axis, at.axis));
  const chord = sub(to.origin, at.origin);
  const x = unit(along(chord, axis, -dot(chord, axis)));
  const y = cross(axis, x);
  const reach = clawRadius - bite;
  const half = distance(at.origin, to.origin) / 2;
  const radii = [a, b].map(({ stone: { girdle } }) => (girdle.kind === 'round' ? girdle.radius + reach : 0));
  const round = radii[0] > 0 && radii[1] > 0;
  // towards the smaller stone: where two circles meet, or the middle of the gap
  const shift = round
    ? (radii[0] ** 2 - radii[1] ** 2) / (4 * half)
    : (reachAlong(a.stone) - reachAlong(b.stone)) / 4;
  const middle = along(above, x, shift);
  const aside = round ? roundAside(half + shift, radii[0]) : outlineAside([a, b], middle, y, reach);
  return aside?.map((offset) => {
    const inward = -Math.sign(offset);
    const frame = { origin: along(middle, y, offset), x: scale(x, inward), y: scale(y, inward), axis };
    return leaning(frame, leanRad);
  });
}

/** A stone in its place. */
export interface PlacedStone {
  frame: Frame;
  stone: Stone;
}

/** A frame at (x, y) of a stone's whose own y looks to its middle. */
export function facingIn(frame: Frame, [x, y]: [number, number]): Frame {
  const size = Math.hypot(x, y);
  const inward = turnToBand(frame, [-x / size, -y / size, 0]);
  return { origin: toBand(frame, [x, y, 0]), x: cross(inward, frame.axis), y: inward, axis: frame.axis };
}

/** The frame turned about x so that what stands above it leans the way of its y. */
export function leaning(frame: Frame, leanRad: number): Frame {
  if (leanRad === 0) return frame;
  const { axis, y } = frame;
  const leant = add(scale(axis, Math.cos(leanRad)), scale(y, Math.sin(leanRad)));
  return { ...frame, axis: leant, y: cross(leant, frame.x) };
}

function roundAside(half: number, reach: number): number[] | undefined {
  if (Math.abs(half) >= reach) return undefined;
  const aside = Math.sqrt(reach * reach - half * half);
  return [aside, -aside];
}

/**
 * How far from the row's line the two claws stand so that either is `reach` away from the nearer of its two girdles'
 * outlines. The distance to a convex outline along a line has one minimum, so each side has one such place.
 */
function outlineAside(
  stones: [PlacedStone, PlacedStone],
  middle: Vec,
  y: Vec,
  reach: number,
): number[] | undefined {
  const excess = (aside: number) =>
    Math.max(
      ...stones.map(({ frame, stone }) => {
        const [px, py] = toStone(frame, along(middle, y, aside));
        return outsideGirdle(stone.girdle, px, py) - reach;
      }),
    );
  if (excess(0) >= 0) return undefined;
  return [1, -1].map((side) => {
    let near = 0;
    let far = Math.max(...stones.map(({ stone }) => girdleReach(stone.girdle))) + 2 * reach;
    for (let i = 0; i < 60; i++) {
      const half = (near + far) / 2;
      if (excess(side * half) < 0) near = half;
      else far = half;
    }
    return side * near;
  });
}

/** A claw must stand at least this share of its diameter deep in the metal to fuse with it. */
const LEAST_SINK_SHARE = 0.5;
/** What stands less far out of the metal is no claw, mm. Bench checks ask for more. */
const LEAST_RISE_MM = 0.005;
/** Metal that must be left between a claw's foot and the bore, mm. */
const FOOT_FLOOR_MM = 0.2;

/** All claws of a row: a pair in every gap, and a pair beyond each end of an open row. Problems instead if they fail. */
export function planClaws(
  row: RowDesign,
  { clawDiameterMm, clawHeightMm, leanRad, tip }: SettingOf<'shared-claws'>,
  path: string,
  lane: Lane,
  places: StonePlaces,
): Result<Claw[]> {
  const radius = clawDiameterMm / 2;
  if (!(radius > 0 && clawHeightMm > 0)) {
    const received = `${clawDiameterMm} × ${clawHeightMm} mm`;
    return refuse('claw-size', path, 'claws of positive diameter and height', received, 'Give both in mm.');
  }
  const pin = { what: 'claws', radius, style: tip ?? 'round' } as const;
  const tipOver = (_: Stone, __: Stone, scale: number) => clawHeightMm * scale;
  return pinsBetween(row, path, lane, places, pin, tipOver, leanRad);
}

/** In a graduated row pins follow their stones: as large against the row's own as the largest stone that they hold. */
export function pinScale({ graduate, diameterMm }: RowDesign, stones: readonly Stone[]): number {
  if (!graduate) return 1;
  return Math.min(1, Math.max(...stones.map(({ girdle }) => girdleExtent(girdle)[1])) / diameterMm);
}

/** Sizes tried between that of the stones and the row's own. */
const SCALES = 5;

/**
 * Pins as small as their stones, or as much larger as it takes: the same gap between smaller stones asks for pins that reach
 * across it and stand out of the metal. @returns why those of the row's own size can't be, if none can
 */
function scaled(least: number, make: (scale: number) => Result<Claw[]>): Result<Claw[]> {
  for (let k = 0; least < 1 && k < SCALES; k++) {
    const made = make(least + ((1 - least) * k) / SCALES);
    if (!isRefused(made)) return made;
  }
  return make(1);
}

/** What is alike in all claws, or all grains, of a row; in a graduated one their radius follows their stones. */
export interface Pin {
  what: 'claws' | 'grains';
  radius: number;
  style: ClawTip;
  /** depth of the floor that they stand on below the lane's surface, mm */
  sunkMm?: number;
}

/** Air that bent claws leave between their tips across the row, mm: the least gap that casts open. */
const TIP_AIR_MM = 0.2;

/** Pins shared by neighbours, on either side of every gap and beyond the ends of open rows. */
export function pinsBetween(
  row: RowDesign,
  path: string,
  lane: Lane,
  places: StonePlaces,
  whole: Pin,
  tipOver: (a: Stone, b: Stone, scale: number) => number,
  leanRad = 0,
): Result<Claw[]> {
  const claws: Claw[] = [];
  for (const [a, b] of neighbours(row, lane, places)) {
    const pair = scaled(pinScale(row, [a.stone, b.stone]), (scale) => {
      const pin = { ...whole, radius: whole.radius * scale };
      return pairBetween([a, b], path, lane, places, pin, tipOver(a.stone, b.stone, scale), leanRad);
    });
    if (isRefused(pair)) return pair;
    claws.push(...pair);
  }
  return claws;
}

/** The pins on either side of a gap. */
function pairBetween(
  [a, b]: readonly [PlacedStone, PlacedStone],
  path: string,
  lane: Lane,
  places: StonePlaces,
  pin: Pin,
  tip: number,
  leanRad: number,
): Result<Claw[]> {
  const { what, radius } = pin;
  const claws: Claw[] = [];
  const frames = clawFrames(a, b, radius, BITE_SHARE * 2 * radius, leanRad);
  const theta = degrees(thetaOf(a.frame.origin));
  if (!frames) {
    const widest = mm(2 * radius * (1 - 2 * BITE_SHARE));
    const between = (reachAlong(a.stone) + reachAlong(b.stone)) / 2;
    const received = `${mm(distance(a.frame.origin, b.frame.origin) - between)} at θ = ${theta}`;
    const advice = `Use more stones, thicker ${what} or a smaller gap.`;
    const expected = `gaps up to ${widest} for these ${what}`;
    return refuse(`${what}-out-of-reach`, path, expected, received, advice);
  }
  const apart = distance(frames[0].origin, frames[1].origin);
  if (apart < 2 * radius) {
    const expected = `${what} that stand apart on either side of the row (at least ${mm(2 * radius)})`;
    const received = `${mm(apart)} between their middles at θ = ${theta}`;
    const advice = 'Set such pointed ends across the row (length below diameter), or choose another cut.';
    return refuse(`${what}-meet`, path, expected, received, advice);
  }
  for (const own of frames) {
    const shared = places.lines.length > 1 ? amongThree(own, [a, b], radius, places.stones) : undefined;
    // among three it cannot bend towards two of them
    const room = shared ? 0 : (apart - TIP_AIR_MM) / 2;
    const claw = standPin(shared ?? own, pin, tip, lane, path, room);
    if (isRefused(claw)) return claw;
    claws.push(claw);
  }
  return claws;
}

/**
 * A pin between two stones of a line that would stand too far in one of the line beside it: as far from all three, at the
 * centre of the circle through theirs. Undefined where no third stone is so near.
 */
function amongThree(
  frame: Frame,
  pair: readonly PlacedStone[],
  radius: number,
  stones: readonly PlacedStone[],
): Frame | undefined {
  const reach = radius * (1 - 2 * BITE_SHARE);
  const third = stones.find(({ frame: { origin }, stone: { girdle } }) => {
    if (girdle.kind !== 'round' || pair.some((own) => distance(own.frame.origin, origin) < 1e-6))
      return false;
    return distance(origin, frame.origin) < girdle.radius + reach;
  });
  if (!third) return undefined;
  const [a, b, c] = [...pair, third].map(({ frame: { origin } }) => toStone(frame, origin));
  const [bx, by, cx, cy] = [b[0] - a[0], b[1] - a[1], c[0] - a[0], c[1] - a[1]];
  const twice = 2 * (bx * cy - by * cx);
  const [bb, cc] = [bx * bx + by * by, cx * cx + cy * cy];
  const x = a[0] + (cy * bb - by * cc) / twice;
  const y = a[1] + (bx * cc - cx * bb) / twice;
  return { ...frame, origin: toBand(frame, [x, y, 0]) };
}

/**
 * A pin sunk into the metal by its diameter, or as deep as the band allows, and bent towards its stones.
 * @param room how far it may reach towards them from its axis, mm
 */
export function standPin(
  frame: Frame,
  { what, radius, style, sunkMm = 0 }: Pin,
  tip: number,
  lane: Lane,
  path: string,
  room: number,
): Result<Claw> {
  const root = axisHeight(frame, lane.outer) - sunkMm;
  const deepest = axisHeight(frame, lane.bore) + FOOT_FLOOR_MM;
  const foot = Math.max(root - 2 * radius, deepest);
  const place = `at θ = ${degrees(thetaOf(frame.origin))}`;
  const one = what === 'claws' ? 'claw' : 'grain';
  if (root - foot < LEAST_SINK_SHARE * 2 * radius) {
    const expected = `${what} sunk at least ${mm(LEAST_SINK_SHARE * 2 * radius)} into the metal`;
    const advice = `Make the band thicker or the ${what} thinner.`;
    return refuse(`${one}-too-shallow`, path, expected, `${mm(root - foot)} ${place}`, advice);
  }
  const beside = Math.min(wallBeside(lane, frame, root, radius), wallBeside(lane, frame, foot, radius));
  if (beside < 0) {
    const expected = `${what} that stand within lane '${lane.name}'`;
    const advice = `Widen the lane, or use smaller stones or thinner ${what}.`;
    return refuse(`${one}-off-lane`, path, expected, `one ${mm(-beside)} over its side ${place}`, advice);
  }
  if (tip - root < LEAST_RISE_MM) {
    const expected = `${what} that stand out of the metal`;
    const advice = `Make the ${what} higher or thinner, or set the stones higher.`;
    return refuse(`${one}-too-low`, path, expected, `${(tip - root).toFixed(2)} mm ${place}`, advice);
  }
  const body = { frame, radius, root, tip, foot, style };
  return { ...body, bend: bendWithin(body, room), wall: beside };
}

function refuse(code: string, path: string, expected: string, received: string, advice: string): Refusal {
  return { problems: [problem(code, path, expected, received, advice)] };
}

/** Pairs of neighbours; beyond the ends of an open line the next place at the same pitch stands in. */
function neighbours(
  row: RowDesign,
  lane: Lane,
  { stones, lines, closed }: StonePlaces,
): [PlacedStone, PlacedStone][] {
  return lines.flatMap((line): [PlacedStone, PlacedStone][] => {
    const own = line.map((i) => stones[i]);
    if (own.length === 0) return [];
    const inner = own.slice(1).map((next, i): [PlacedStone, PlacedStone] => [own[i], next]);
    const last = own[own.length - 1];
    if (closed) return [...inner, [last, own[0]]];
    const chords = inner.map(([a, b]) => distance(a.frame.origin, b.frame.origin));
    const beyond = (end: StonePlace, side: 1 | -1): PlacedStone => {
      const bare = reachAlong(end.stone) + row.leastGapMm;
      const pitch = chords.length === 0 || isUneven(row) ? bare : Math.min(...chords);
      const { origin } = end.frame;
      const turn = 2 * Math.asin(pitch / 2 / Math.hypot(origin[0], origin[1]));
      const theta = thetaOf(origin) + side * turn;
      return { stone: end.stone, frame: standingFrame(row, lane, end.stone, end.depth, theta, end.across) };
    };
    return [[beyond(own[0], -1), own[0]], ...inner, [last, beyond(last, 1)]];
  });
}
