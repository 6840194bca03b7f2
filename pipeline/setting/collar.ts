import type { Lane } from '../band/lane.ts';
import { degrees, mm } from '../band/problem-words.ts';
import type { SettingOf } from '../plan/setting-design.ts';
import type { Problem, Result } from '../problem.ts';
import { bendWithin, type Claw } from './claw-form.ts';
import { wallBeside, withinSoftening } from './clearance.ts';
import { grownCrownHeight } from './flush.ts';
import { BITE_SHARE, facingIn, leaning } from './pin-places.ts';
import { heightBelow, type SeatedStone } from './place.ts';
import { cutRadiusAt, radiusOf } from './seat.ts';
import type { StoneSet } from './stone-set.ts';

/**
 * A collar of metal that rises out of the band round a stone: closed over the girdle it is a bezel, ended below the
 * girdle and given claws it is a head. It is turned about the stone's axis; heights are along that from the girdle, mm.
 */
export interface Collar {
  /** outside, in the girdle's plane */
  radius: number;
  /** by how much it is narrower to the millimetre downwards */
  slope: number;
  /** the metal pushed over the girdle: radius and height of its inner edge, and where its outside is level; none on a head */
  lip?: { radius: number; height: number; topRadius: number; topHeight: number };
  /** where a head ends */
  rim: number;
  /** half the width that is left free of wall on two sides, and whether one looks through along the row or across it */
  open?: { half: number; way: 'along' | 'across' };
  /** where it ends inside the band's metal, at each place of the set */
  feet: number[];
  /** least metal of the lane beside it */
  beside: number;
  /** least thickness of its wall */
  wall: number;
}

/** The bright inner edge of a lip opens by this much to the millimetre: 30° from the axis (common practice, as burnished). */
const EDGE_FLARE = Math.tan(Math.PI / 6);
/** Height of that edge, mm: a lip that is pushed down to nothing cuts and wears away (common practice). */
const EDGE_MM = 0.1;
/** A head ends this far below the girdle's lower edge, mm, so that light comes in (common practice). */
export const RIM_BELOW_MM = 0.05;
/** How far a collar's foot lies inside the metal under its lowest place, and keeps from the bore, mm. */
const SUNK_MM = 0.1;
const OVER_BORE_MM = 0.1;
/** Thinnest wall, and narrowest air between two collars, that are still solid and open, mm. Bench checks ask for more. */
const LEAST_WALL_MM = 0.15;
const LEAST_AIR_MM = 0.2;

const TURNS = Array.from({ length: 16 }, (_, i) => (i * Math.PI) / 8);

/** Outside of a collar at a height below the girdle. */
export const collarOutside = ({ radius, slope }: Pick<Collar, 'radius' | 'slope'>, h: number) =>
  Math.max(0, radius + slope * Math.min(0, h));

/** Bezels round the stones of a set. */
export function planBezel(
  set: StoneSet,
  { wallMm, lipMm, taperRad, open, openShare }: SettingOf<'bezel'>,
  path: string,
  gapMm: number,
): Result<Collar> {
  const { stone, seat } = set;
  const girdle = radiusOf(seat.opening);
  const inner = girdle - seat.air - lipMm;
  const height = stone.girdle.kind === 'round' ? grownCrownHeight(stone, seat.air, inner) : undefined;
  const refuse = refusals(path);
  if (stone.girdle.kind === 'round' && height === undefined) {
    refuse.say(
      'bezel-lip',
      'a lip over the girdle that leaves the table free',
      mm(lipMm),
      'Use about 0.15 mm.',
    );
  }
  const top = height ?? 0;
  const lip = {
    radius: inner,
    height: top,
    topRadius: inner + EDGE_MM * EDGE_FLARE,
    topHeight: top + EDGE_MM,
  };
  const opening = open && { half: Math.sin((openShare * Math.PI) / 4) * girdle, way: open };
  const round = {
    radius: girdle + wallMm,
    slope: Math.tan(taperRad),
    lip,
    rim: 0,
    ...(opening && { open: opening }),
  };
  return standing(set, round, gapMm, refuse);
}

/** Heads under the stones of a set, with the claws that stand on them. */
export function planHeads(
  set: StoneSet,
  setting: SettingOf<'head'>,
  path: string,
  gapMm: number,
): Result<{ collar: Collar; claws: Claw[] }> {
  const { stone, seat, places } = set;
  const radius = radiusOf(seat.opening) + setting.wallMm;
  const slope = Math.tan(setting.taperRad);
  const rim = -stone.halfGirdle - RIM_BELOW_MM;
  const rods = rodsOf(set, setting);
  const reach = { out: Math.max(0, rods.outside - radius), down: rods.down };
  const collar = standing(set, { radius, slope, rim }, gapMm, refusals(path), reach);
  if ('problems' in collar) return collar;
  return { collar, claws: places.flatMap((place, i) => headClaws(set, setting, place, collar, i)) };
}

/** Where a head's claws stand in the girdle's plane, how far out they reach there, and how far below the cup's foot theirs lie. */
function rodsOf({ stone: { girdle } }: StoneSet, { clawDiameterMm, taperRad }: SettingOf<'head'>) {
  const radius = clawDiameterMm / 2;
  const aside = (girdle.kind === 'round' ? girdle.radius : 0) + radius * (1 - 2 * BITE_SHARE);
  // a leaning foot is low on its inner side and high on its outer one, which must be sunk as well
  return {
    aside,
    outside: aside + radius / Math.cos(taperRad),
    drop: radius * Math.tan(taperRad),
    down: 2 * radius * Math.sin(taperRad),
  };
}

/** Claws round a stone, leaning as the head's side does; they run down it into the band. */
function headClaws(
  set: StoneSet,
  setting: SettingOf<'head'>,
  { frame }: SeatedStone,
  { feet, beside }: Collar,
  i: number,
): Claw[] {
  const { claws, clawDiameterMm, clawHeightMm, taperRad, tip = 'round' } = setting;
  const { aside, drop } = rodsOf(set, setting);
  return Array.from({ length: claws }, (_, k) => {
    const turn = ((2 * k + 1) * Math.PI) / claws;
    const upright = facingIn(frame, [aside * Math.cos(turn), aside * Math.sin(turn)]);
    const body = {
      frame: leaning(upright, -taperRad),
      radius: clawDiameterMm / 2,
      root: -set.stone.halfGirdle - clawDiameterMm / 2,
      tip: clawHeightMm,
      foot: feet[i] / Math.cos(taperRad) - drop,
      style: tip,
      rod: true as const,
    };
    return { ...body, bend: bendWithin(body, aside), wall: beside };
  });
}

interface Refusals {
  found: Problem[];
  say(code: string, expected: string, received: string, advice: string): void;
}

function refusals(path: string): Refusals {
  const found: Problem[] = [];
  return {
    found,
    say: (code, expected, received, advice) =>
      found.push({ code, severity: 'error', path, expected, received, advice }),
  };
}

/** Stands a collar in the band's metal, or says why it cannot. */
function standing(
  { design, lane, stone, seat, places }: StoneSet,
  round: Omit<Collar, 'feet' | 'beside' | 'wall'>,
  gapMm: number,
  { found, say }: Refusals,
  reach = { out: 0, down: 0 },
): Result<Collar> {
  if (stone.girdle.kind !== 'round') {
    say('collar-not-round', 'a round cut', design.cut, 'Collars and heads are turned: use a round cut.');
    return { problems: found };
  }
  const { radius } = round;
  const air = gapMm - 2 * (radius + reach.out - stone.girdle.radius);
  if (air < LEAST_AIR_MM) {
    const advice = 'Raise least-gap, thin the wall or use fewer stones.';
    say('collars-too-close', `at least ${mm(LEAST_AIR_MM)} of air between two collars`, mm(air), advice);
  }
  const feet = places.map((place) => footOf(lane, round, place, reach.out));
  let beside = Number.POSITIVE_INFINITY;
  let wall = radius - radiusOf(seat.opening);
  const within = withinSoftening(lane);
  for (const [i, { frame, surface, theta, highBore }] of places.entries()) {
    const foot = feet[i];
    const at = `at θ = ${degrees(theta)}`;
    const deepest = foot - reach.down;
    if (deepest < highBore + OVER_BORE_MM) {
      const expected = `at least ${mm(SUNK_MM + OVER_BORE_MM)} of metal under the collar`;
      say('collar-through-band', expected, `${mm(deepest + SUNK_MM - highBore)} ${at}`, 'Thicken the band.');
    }
    for (const h of [Math.min(surface, round.rim), foot]) {
      const left = wallBeside(within, frame, h, collarOutside(round, h) + reach.out);
      beside = Math.min(beside, left);
      wall = Math.min(wall, collarOutside(round, h) - cutRadiusAt(seat, h));
    }
    if (beside < 0) {
      const advice = 'Widen the lane, taper the collar more or set the stone higher (a lower set-depth).';
      say(
        'collar-off-lane',
        `a collar that stands on lane '${lane.name}'`,
        `${mm(-beside)} over its edge ${at}`,
        advice,
      );
    }
    if (wall < LEAST_WALL_MM) {
      const advice = 'Taper it less, narrow the hole or thicken the wall.';
      say(
        'collar-too-thin',
        `a wall of at least ${mm(LEAST_WALL_MM)} all the way down`,
        `${mm(wall)} ${at}`,
        advice,
      );
    }
    if (found.length > 0) return { problems: found };
  }
  return { ...round, feet, beside, wall };
}

/** The lowest place of the band's surface under a collar, and a little more. */
function footOf(
  lane: Lane,
  round: Pick<Collar, 'radius' | 'slope'>,
  { frame, surface }: SeatedStone,
  out: number,
): number {
  const rho = collarOutside(round, surface) + out;
  const heights = TURNS.map((turn) =>
    heightBelow(frame, [rho * Math.cos(turn), rho * Math.sin(turn), 0], lane.outer),
  );
  return Math.min(surface, ...heights) - SUNK_MM;
}
