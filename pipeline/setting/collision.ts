import { degrees, mm, problem } from '../band/problem-words.ts';
import { rowSide } from '../plan/design.ts';
import type { Problem } from '../problem.ts';
import { holeAt } from './azure.ts';
import { clawReach } from './claw-form.ts';
import { thetaOf } from './clearance.ts';
import { girdleExtent, girdleReach, outsideGirdle } from './girdle.ts';
import type { SeatedStone } from './place.ts';
import type { RowPlan, WholeRow } from './row-plan.ts';
import { cutRadiusAt, type Seat } from './seat.ts';
import { leastSeparation } from './separation.ts';
import { toBand, toStone } from './stone.ts';

/** The two stones of a shape that come closest. */
export interface ClosestPair {
  /** a lower bound of the true distance, mm */
  gap: number;
  /** θ of either stone */
  theta: number;
  other: number;
  row: number;
  otherRow: number;
}

/**
 * Closest of all pairs of stones, not only of neighbours along a row: waves may bring others together.
 */
export function closestPair(rows: WholeRow[]): ClosestPair | undefined {
  const stones = rows.flatMap(({ index, members }) =>
    members.map(({ set, place: { frame, theta } }) => ({ index, stone: set.stone, frame, theta })),
  );
  let closest: ClosestPair | undefined;
  for (let i = 0; i < stones.length; i++) {
    for (let k = i + 1; k < stones.length; k++) {
      const a = stones[i];
      const b = stones[k];
      const gap = leastSeparation(a.stone, a.frame, b.stone, b.frame);
      if (!closest || gap < closest.gap)
        closest = { gap, theta: a.theta, other: b.theta, row: a.index, otherRow: b.index };
    }
  }
  return closest;
}

/** Air between a claw and another row's stone, mm: its seat is cut within this. */
const CLAW_AIR_MM = 0.05;

/** Claws are trimmed for their own row's stones only, so they must stand clear of every other row's. */
function clawProblems(rows: WholeRow[]): Problem[] {
  return rows.flatMap((row) => {
    const others = rows.filter(({ index }) => index !== row.index);
    const pins = [...row.claws, ...(row.grain?.grains ?? [])];
    const struck = pins.find((pin) =>
      others.some(({ members }) =>
        members.some(({ set: { stone }, place }) => {
          const [x, y, z] = toStone(place.frame, pin.frame.origin);
          const near = Math.abs(z) < stone.solid.depthMm + 2 * pin.radius;
          return near && outsideGirdle(stone.girdle, x, y) < clawReach(pin) + CLAW_AIR_MM;
        }),
      ),
    );
    if (!struck) return [];
    const received = `one in the stone beside it at θ = ${degrees(thetaOf(struck.frame.origin))}`;
    const advice = 'Move the rows apart, or set them in channels or flush.';
    return [
      problem(
        'claw-in-stone',
        `rows.${row.design.name}`,
        'claws and grains clear of other rows',
        received,
        advice,
      ),
    ];
  });
}

/** Metal or air between a collar and another row's stone, mm. */
const COLLAR_AIR_MM = 0.1;

/** Seats are cut into their own row's collars only, so these must stand clear of every other row's stones. */
function collarProblems(rows: WholeRow[]): Problem[] {
  for (const row of rows) {
    for (const { collar, places } of row.sets) {
      const others = collar ? rows.filter(({ index }) => index !== row.index) : [];
      const stones = others.flatMap(({ members }) => members);
      for (const { frame, theta } of places) {
        const struck = stones.some(({ set, place }) => {
          const [x, y] = toStone(frame, place.frame.origin);
          const reach = Math.hypot(...girdleExtent(set.stone.girdle)) / 2;
          return Math.hypot(x, y) - reach < collar!.radius + COLLAR_AIR_MM;
        });
        if (!struck) continue;
        const expected = 'collars clear of the stones of other rows';
        const advice = 'Move the rows apart, or leave the angles round the raised stone free.';
        const received = `one that reaches a stone beside it at θ = ${degrees(theta)}`;
        return [problem('collar-in-stone', `rows.${row.design.name}`, expected, received, advice)];
      }
    }
  }
  return [];
}

/** Metal between seats of stones that are set from different sides, and their holes, mm. */
const BORE_AIR_MM = 0.15;

/** Stones in the bore stay clear of what is cut for those above them. */
function boreProblems(rows: WholeRow[]): Problem[] {
  const above = rows.filter(({ design }) => rowSide(design) === 'outside').flatMap(({ members }) => members);
  return rows.flatMap((row) => {
    const struck =
      row.design.inside &&
      row.members.find(({ set, place: { frame } }) =>
        above.some(({ set: { seat, design }, place }) => {
          const [x, y, depth] = toStone(frame, place.frame.origin);
          // far round the band it is another side of the finger
          if (Math.abs(depth) > Math.max(set.stone.solid.depthMm, 6)) return false;
          const through = design.floorMm === undefined ? holeAt(seat, place.bore) : undefined;
          const reach = Math.max(through ? girdleReach(through) : 0, girdleReach(seat.opening));
          return Math.hypot(x, y) < reach + girdleReach(set.seat.opening) + BORE_AIR_MM;
        }),
      );
    if (!struck) return [];
    const expected = `${mm(BORE_AIR_MM)} between stones in the bore and the seats above them`;
    const received = `a seat above the stone at θ = ${degrees(struck.place.theta)}`;
    const advice = 'Move it to where the outside has no stones.';
    return [problem('bore-stone-under-seat', `rows.${row.design.name}`, expected, received, advice)];
  });
}

/** Seats in side faces stay clear of every seat and hole that is cut from another side. */
function faceProblems(rows: WholeRow[]): Problem[] {
  return rows.flatMap((row) => {
    const { face } = row.design;
    if (!face) return [];
    const others = rows.filter((other) => other.index !== row.index && other.design.face !== face);
    const near = others.flatMap(({ members }) => members);
    let worst = { left: Number.POSITIVE_INFINITY, theta: 0, other: '' };
    for (const { set, place } of row.members) {
      for (const other of near) {
        const left = metalBetween(set.seat, place, other.set, other.place);
        if (left < worst.left) worst = { left, theta: place.theta, other: other.set.name };
      }
    }
    if (worst.left >= BORE_AIR_MM - 1e-9) return [];
    const expected = `${mm(BORE_AIR_MM)} between the seats in the side face and those of row '${worst.other}'`;
    const received = `${mm(Math.max(0, worst.left))} at θ = ${degrees(worst.theta)}`;
    const advice =
      'Widen or thicken the band, use smaller stones, or move one row to where the other has none.';
    return [problem('face-stone-in-seat', `rows.${row.design.name}`, expected, received, advice)];
  });
}

/** Heights at which a turned seat is held against another. */
const SEAT_LEVELS = 8;

/**
 * A lower bound of the metal between a turned closed seat and any other with its hole: each disc of the one keeps at
 * least its middle's distance less its radius.
 */
function metalBetween(
  seat: Seat,
  { frame, surface }: SeatedStone,
  { seat: other, design }: Pick<RowPlan, 'seat' | 'design'>,
  at: SeatedStone,
): number {
  const foot = seat.bearingFoot;
  const through = other.hole !== undefined && design.floorMm === undefined;
  const lowest = through ? at.bore : Math.min(other.bearingFoot, at.highBore + (design.floorMm ?? Infinity));
  const wide = girdleReach(other.opening);
  const levels = Array.from(
    { length: SEAT_LEVELS + 1 },
    (_, i) => foot + ((surface - foot) * i) / SEAT_LEVELS,
  );
  const left = levels.map((h) => {
    const [x, y, depth] = toStone(at.frame, toBand(frame, [0, 0, h]));
    const hole = depth < other.bearingTop ? holeAt(other, depth) : undefined;
    const own =
      depth >= other.bearingTop ? wide : Math.max(hole ? girdleReach(hole) : 0, bearingReach(other, depth));
    const beside = Math.max(0, Math.hypot(x, y) - own);
    const below = Math.max(0, lowest - depth);
    return Math.hypot(beside, below) - cutRadiusAt(seat, h);
  });
  return Math.min(...left);
}

/** How far a seat's bearing reaches from its axis at a height. */
function bearingReach(seat: Seat, h: number): number {
  if (seat.opening.kind === 'round') return cutRadiusAt(seat, h);
  return h <= seat.bearingFoot ? 0 : girdleReach(seat.opening);
}

export function findCollisions(rows: WholeRow[]): Problem[] {
  const closest = closestPair(rows);
  if (!closest || closest.gap >= Math.min(...rows.map(({ design }) => design.leastGapMm)) - 1e-6) {
    return [...clawProblems(rows), ...collarProblems(rows), ...boreProblems(rows), ...faceProblems(rows)];
  }
  const [one, other] = [closest.row, closest.otherRow].map((i) => `'${rows[i].design.name}'`);
  const others = one === other ? '' : ` of rows ${one} and ${other}`;
  return [
    problem(
      'stones-collide',
      `rows.${rows[closest.row].design.name}`,
      'the least gap between every two stones',
      `${mm(closest.gap)} between those at θ = ${degrees(closest.theta)} and ${degrees(closest.other)}${others}`,
      'Lower the wave, use fewer waves or smaller stones.',
    ),
  ];
}
