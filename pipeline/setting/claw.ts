import type { Lane } from '../band/lane.ts';
import { degrees, mm, problem } from '../band/problem-words.ts';
import type { RowDesign } from '../plan/design.ts';
import type { ClawTip, SettingOf } from '../plan/setting-design.ts';
import { isRefused, type Refusal, type Result } from '../problem.ts';
import { bendWithin, type Claw } from './claw-form.ts';
import { axisHeight, thetaOf, wallBeside } from './clearance.ts';
import type { StonePlace, StonePlaces } from './equal-places.ts';
import { girdleExtent, sharpCorners } from './girdle.ts';
import { amongThree, BITE_SHARE, clawFrames, facingIn, leaning, type PlacedStone } from './pin-places.ts';
import { reachAlong } from './spread.ts';
import { standingFrame } from './standing.ts';
import { type Frame, type Stone, toBand } from './stone.ts';
import { isUneven } from './stone-order.ts';
import { distance } from './vec.ts';

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
  const shared = pinsBetween(row, path, lane, places, pin, tipOver, leanRad);
  if (isRefused(shared)) return shared;
  return [...shared, ...pointClaws(shared, path, lane, places, pin, clawHeightMm, leanRad)];
}

/**
 * A claw of its own over each point of a girdle that no shared one covers, such as a pear's across the row: points chip.
 * Where none can stand the bench's rule of guarded points tells of it.
 */
function pointClaws(
  shared: readonly Claw[],
  path: string,
  lane: Lane,
  { stones }: StonePlaces,
  pin: Pin,
  tip: number,
  leanRad = 0,
): Claw[] {
  const reach = pin.radius * (1 - 2 * BITE_SHARE);
  return stones.flatMap(({ frame, stone }) =>
    sharpCorners(stone.girdle).flatMap(([x, y]) => {
      const point = toBand(frame, [x, y, 0]);
      if (shared.some((claw) => distance(claw.frame.origin, point) < 2 * pin.radius)) return [];
      const size = Math.hypot(x, y);
      const beyond = (size + reach) / size;
      const own = leaning(facingIn(frame, [x * beyond, y * beyond]), leanRad);
      const claw = standPin(own, pin, tip, lane, path, size);
      return isRefused(claw) ? [] : [claw];
    }),
  );
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
