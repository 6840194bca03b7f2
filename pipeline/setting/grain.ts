import type { Lane } from '../band/lane.ts';
import { degrees, mm } from '../band/problem-words.ts';
import { midRadius } from '../band/profile.ts';
import { finenessOf, sweepAngles } from '../band/sweep-angles.ts';
import type { WeldedMesh } from '../band/welded-mesh.ts';
import { linesOf, type RowDesign } from '../plan/design.ts';
import type { SettingOf } from '../plan/setting-design.ts';
import { isRefused, type Problem, type Result } from '../problem.ts';
import { anglesWithin, tightestTurn } from './channel.ts';
import { type Pin, pinScale, pinsBetween, standPin } from './claw.ts';
import type { Claw } from './claw-form.ts';
import { axisHeight, thetaOf, wallBeside, withinSoftening } from './clearance.ts';
import type { StonePlaces } from './equal-places.ts';
import { girdleExtent, outsideGirdle } from './girdle.ts';
import { BITE_SHARE, facingIn } from './pin-places.ts';
import { rowFrame } from './row-curve.ts';
import { type Frame, type Stone, toBand } from './stone.ts';
import { type Corners, type Fill, sweepOutline } from './swept-cutter.ts';
import { distance } from './vec.ts';

type GrainDesign = SettingOf<'grain'>;

/** Stones in a field cut into the lane, and the grains that hold them. Heights along the axes from the girdles, mm. */
export interface GrainField {
  grains: Claw[];
  /** half the width of the floor by angle, at each stone of a line in order */
  halves: { theta: number; half: number }[];
  /** height of the floor */
  floor: number;
  /** how far the walls lean out to the millimetre of height */
  slope: number;
  closed: boolean;
  /** least metal between the field's edge and the lane's sides */
  rail: number;
  /** least metal between floor and bore */
  under: number;
}

/** Height of grains as a share of that from girdle to table; 70–80 % is published for prongs, see the rules. */
const GRAIN_RISE = 0.75;
/** Walls cut bright lie at 45°, others nearly upright (common practice). */
const BRIGHT_SLOPE = 1;
const STEEP_SLOPE = Math.tan(Math.PI / 18);
/** Grains of one stone stand at 45° or, where those of neighbours would crowd, at up to 70° from the row. */
const OWN_TURNS = [45, 50, 55, 60, 65, 70].map((turn) => (turn * Math.PI) / 180);
/** Air between the grains of neighbours, mm. */
const GRAIN_AIR_MM = 0.04;
/** Thinnest rail, floor and field wall that are still solid, mm. Bench checks ask for more. */
const LEAST_RAIL_MM = 0.1;
const LEAST_UNDER_MM = 0.2;
const LEAST_WALL_MM = 0.02;

/** The field and grains of a row. */
export function planGrain(
  row: RowDesign,
  setting: GrainDesign,
  path: string,
  lane: Lane,
  places: StonePlaces,
): Result<GrainField> {
  const grains = plantGrains(row, setting, path, lane, places);
  if (isRefused(grains)) return grains;
  const spread = ((linesOf(row) - 1) * Math.abs(row.stagger?.apartMm ?? 0)) / 2;
  const halves = places.lines[0].map((i) => {
    const { frame, stone } = places.stones[i];
    return {
      theta: thetaOf(frame.origin),
      half: girdleExtent(stone.girdle)[1] / 2 + setting.fieldMm + spread,
    };
  });
  const floor = row.setDepthMm - setting.fieldDepthMm;
  const field = {
    grains,
    halves,
    floor,
    slope: setting.brightCut ? BRIGHT_SLOPE : STEEP_SLOPE,
    closed: places.closed,
  };
  const stations = stationsOf(field, lane, row.setDepthMm);
  const edge = (half: number) => half + setting.fieldDepthMm * field.slope;
  const railIn = (within: Lane) =>
    Math.min(...stations.map(({ frame, half }) => wallBeside(within, frame, row.setDepthMm, edge(half))));
  const rail = railIn(withinSoftening(lane));
  const under = Math.min(...stations.map(({ frame }) => floor - axisHeight(frame, lane.bore)));
  const problems = fieldProblems(row, path, lane, places, { floor, rail: railIn(lane), under }, stations);
  return problems.length > 0 ? { problems } : { ...field, rail, under };
}

interface Station {
  frame: Frame;
  half: number;
}

/** The field at each stone and midway to the next. */
function stationsOf(field: Pick<GrainField, 'halves' | 'closed'>, lane: Lane, depth: number): Station[] {
  const { halves } = field;
  const angles = halves.map(({ theta }) => theta);
  const between = angles.slice(1).map((theta, i) => (theta + angles[i]) / 2);
  return [...angles, ...between].map((theta) => ({
    frame: rowFrame(lane, depth, theta),
    half: halfAt(field, theta),
  }));
}

function fieldProblems(
  row: RowDesign,
  path: string,
  lane: Lane,
  places: StonePlaces,
  { floor, rail, under }: Pick<GrainField, 'floor' | 'rail' | 'under'>,
  stations: Station[],
): Problem[] {
  const problems: Problem[] = [];
  const refuse = (code: string, expected: string, received: string, advice: string) =>
    problems.push({ code, severity: 'error', path, expected, received, advice });
  const girdle = Math.min(...places.stones.map(({ stone }) => stone.halfGirdle));
  if (floor < -girdle) {
    const expected = `a field that ends above the girdles’ lower edges (depth at most ${mm(row.setDepthMm + girdle)})`;
    const advice = 'Cut the field less deep or set the stones deeper.';
    refuse('field-too-deep', expected, mm(row.setDepthMm - floor), advice);
  }
  const shallow = Math.min(
    ...stations.flatMap(({ frame, half }) =>
      [half, -half].map(
        (y) => axisHeight({ ...frame, origin: toBand(frame, [0, y, 0]) }, lane.outer) - floor,
      ),
    ),
  );
  if (shallow < LEAST_WALL_MM) {
    const expected = `field walls at least ${mm(LEAST_WALL_MM)} high`;
    const advice = 'Cut the field deeper or narrower, or use a flatter section.';
    refuse('field-too-shallow', expected, mm(shallow), advice);
  }
  if (rail < LEAST_RAIL_MM) {
    const expected = `at least ${mm(LEAST_RAIL_MM)} of lane '${lane.name}' beside the field`;
    refuse('field-off-lane', expected, mm(rail), 'Use smaller stones, a narrower field or a wider lane.');
  }
  if (under < LEAST_UNDER_MM) {
    const expected = `at least ${mm(LEAST_UNDER_MM)} of metal under the field`;
    refuse('field-through-band', expected, mm(under), 'Thicken the band or cut the field less deep.');
  }
  const widest = Math.max(...stations.map(({ half }) => half));
  const tight = tightestTurn(lane, row.setDepthMm, widest, floor);
  if (tight !== undefined) {
    const expected = `a curve that bends less tightly than the field is wide (${mm(2 * widest)})`;
    const advice = 'Lower the wave, use fewer waves, smaller stones or a narrower field.';
    refuse('field-too-tight', expected, `a tighter bend at θ = ${degrees(tight)}`, advice);
  }
  return problems;
}

function plantGrains(
  row: RowDesign,
  { grainMm, grains, fieldDepthMm }: GrainDesign,
  path: string,
  lane: Lane,
  places: StonePlaces,
): Result<Claw[]> {
  const radius = grainMm / 2;
  const pin: Pin = { what: 'grains', radius, style: 'round', sunkMm: fieldDepthMm };
  if (grains === 'shared') return pinsBetween(row, path, lane, places, pin, lowerRise);
  const radiusAt = (stone: Stone) => radius * pinScale(row, [stone]);
  const turn = OWN_TURNS.find((t) => uncrowded(places, radiusAt, t));
  if (turn === undefined) {
    const advice = 'Use shared or smaller grains, larger stones or wider gaps.';
    const received = `grains of ${mm(grainMm)} that run into each other`;
    const problem = { code: 'grains-crowd', severity: 'error' as const, path, received, advice };
    return { problems: [{ ...problem, expected: 'room for the grains of neighbouring stones' }] };
  }
  const planted: Claw[] = [];
  for (const { frame, stone } of places.stones) {
    const own = { ...pin, radius: radiusAt(stone) };
    const [x, y] = cornerOf(stone, own.radius, turn);
    for (const [sx, sy] of [
      [1, 1],
      [-1, 1],
      [-1, -1],
      [1, -1],
    ]) {
      const at = facingIn(frame, [sx * x, sy * y]);
      const room = Math.hypot(x, y);
      const grain = standPin(at, own, GRAIN_RISE * stone.tableHeight, lane, path, room);
      if (isRefused(grain)) return grain;
      planted.push(grain);
    }
  }
  return planted;
}

/** A shared grain is as high as the lower of its stones bears. */
const lowerRise = (a: Stone, b: Stone) => GRAIN_RISE * Math.min(a.tableHeight, b.tableHeight);

/** Where a stone's grain stands in the direction of `turn` from its row, so that it bites over the girdle. */
function cornerOf({ girdle }: Stone, radius: number, turn: number): [number, number] {
  const reach = radius * (1 - 2 * BITE_SHARE);
  const [cos, sin] = [Math.cos(turn), Math.sin(turn)];
  let near = 0;
  let far = Math.hypot(...girdleExtent(girdle)) + 2 * reach;
  for (let i = 0; i < 60; i++) {
    const out = (near + far) / 2;
    if (outsideGirdle(girdle, out * cos, out * sin) < reach) near = out;
    else far = out;
  }
  return [near * cos, near * sin];
}

/** Whether the grains of neighbours in a line stand clear of each other. */
function uncrowded(
  { stones, lines, closed }: StonePlaces,
  radiusAt: (stone: Stone) => number,
  turn: number,
): boolean {
  return lines.every((line) => {
    const own = line.map((i) => stones[i]);
    const next = closed ? [...own.slice(1), own[0]] : own.slice(1);
    return next.every((b, i) => {
      const a = own[i];
      const radii = [a, b].map(({ stone }) => radiusAt(stone));
      const along = cornerOf(a.stone, radii[0], turn)[0] + cornerOf(b.stone, radii[1], turn)[0];
      return distance(a.frame.origin, b.frame.origin) - along >= radii[0] + radii[1] + GRAIN_AIR_MM;
    });
  });
}

/** Half the floor's width at θ: straight from stone to stone. */
function halfAt({ halves, closed }: Pick<GrainField, 'halves' | 'closed'>, theta: number): number {
  const turn = 2 * Math.PI;
  const first = halves[0].theta;
  const stops = closed
    ? [...halves, halves[0]].map(({ theta: at, half }, i) => ({
        theta: i === halves.length ? first + turn : first + modulo(at - first, turn),
        half,
      }))
    : halves;
  const at = closed ? first + modulo(theta - first, turn) : theta;
  const next = stops.findIndex((stop) => stop.theta >= at - 1e-12);
  if (next === 0) return stops[0].half;
  if (next < 0) return stops[stops.length - 1].half;
  const [a, b] = [stops[next - 1], stops[next]];
  return a.half + ((b.half - a.half) * (at - a.theta)) / (b.theta - a.theta);
}

const modulo = (x: number, m: number) => ((x % m) + m) % m;

/** Steps of the round ends of an open field. */
const END_TURNS = [10, 20, 30, 40, 50, 60, 70, 78, 84].map((turn) => (turn * Math.PI) / 180);

/** Cuts the field: a floor with sloping walls, round at its ends. */
export function fieldCutter(lane: Lane, row: RowDesign, field: GrainField, chordMm: number): WeldedMesh {
  const depth = row.setDepthMm;
  const round = sweepAngles([lane.low.curve, lane.high.curve], midRadius(lane.outer), finenessOf(chordMm));
  const top = Math.max(depth, field.floor) + row.diameterMm;
  const sections: { theta: number; half: number }[] = [];
  if (field.closed) for (const theta of round) sections.push({ theta, half: halfAt(field, theta) });
  else {
    const [first, last] = [field.halves[0], field.halves[field.halves.length - 1]];
    const beyond = ({ theta, half }: typeof first, side: 1 | -1) =>
      END_TURNS.map((turn) => ({
        theta: theta + (side * half * Math.sin(turn)) / midRadius(lane.outer),
        half: half * Math.cos(turn),
      }));
    const inner = first.theta === last.theta ? [first.theta] : anglesWithin(round, [first.theta, last.theta]);
    sections.push(
      ...beyond(first, -1).reverse(),
      ...inner.map((theta) => ({ theta, half: halfAt(field, theta) })),
      ...beyond(last, 1),
    );
  }
  const frames = sections.map(({ theta }) => rowFrame(lane, depth, theta));
  return sweepOutline(frames, (i) => fieldOutline(sections[i].half, field, top), FIELD_FILL, field.closed);
}

const FIELD_FILL: Fill = [[0, 1, 2, 3]];

function fieldOutline(half: number, { floor, slope }: GrainField, top: number): Corners {
  const wide = half + (top - floor) * slope;
  return [
    [half, floor],
    [wide, top],
    [-wide, top],
    [-half, floor],
  ];
}
