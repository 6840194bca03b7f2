import type { Lane } from '../band/lane.ts';
import { degrees, mm } from '../band/problem-words.ts';
import type { WeldedMesh } from '../band/welded-mesh.ts';
import type { SettingOf } from '../plan/setting-design.ts';
import type { Problem, Result } from '../problem.ts';
import { axisHeight, wallBeside, withinSoftening } from './clearance.ts';
import { crownOutline } from './crown-outline.ts';
import { faceHeight, rimBesideFaceCut, wallBesideFaceCut } from './face.ts';
import { revolve } from './revolution.ts';
import { holeOutline, radiusOf, runsThrough, type Seat } from './seat.ts';
import { type Frame, type Stone, toBand } from './stone.ts';
import type { StoneSet } from './stone-set.ts';

/** The opening over a stone whose table lies level with the metal: a lip over the girdle, and a bright flare above. */
export interface Flush {
  /** radius of the lip's inner edge, mm */
  radius: number;
  /** height of that edge above the girdle plane, mm */
  height: number;
  /** radius of the flare at the surface, mm */
  flare: number;
  /** least metal between flares and the sides of the lane, mm */
  wall: number;
}

/** The flare opens by this much to the millimetre of height: 30° from the axis, as a burnisher leaves it (common practice). */
const FLARE = Math.tan(Math.PI / 6);
/** Least height of the metal round the girdle over the lip's inner edge, mm. */
const LEAST_RISE_MM = 0.05;
/** Metal left between two flares, and between a flare and the lane's side, that is still solid, mm. */
const LEAST_BETWEEN_MM = 0.1;

/** The openings over a set of stones; its set depth must be the table's height and what covers it. */
export function planFlush(
  { design: { cut, coverMm = 0 }, lane, stone, seat, places }: StoneSet,
  { lipMm }: SettingOf<'flush'>,
  path: string,
  gapMm: number,
): Result<Flush> {
  const problems: Problem[] = [];
  const refuse = (code: string, expected: string, received: string, advice: string) =>
    problems.push({ code, severity: 'error', path, expected, received, advice });
  if (stone.girdle.kind !== 'round') {
    refuse('flush-not-round', 'a round cut', cut, 'Seats for flush setting are turned: use a round cut.');
    return { problems };
  }
  const { radius: girdle } = stone.girdle;
  const radius = girdle - lipMm;
  const height = grownCrownHeight(stone, seat.air, radius);
  if (!(lipMm > 0 && height !== undefined)) {
    const expected = 'a lip over the girdle that leaves the table free';
    refuse('flush-lip', expected, mm(lipMm), 'Use a lip of about 0.08 mm.');
    return { problems };
  }
  const flare = radius + (stone.tableHeight + coverMm - height) * FLARE;
  for (const { frame, theta } of places) {
    const rise = lowestRim(frame, lane, girdle) - height;
    if (rise >= LEAST_RISE_MM) continue;
    const expected = `metal at least ${mm(LEAST_RISE_MM)} above the lip all round the girdle`;
    const advice = 'Use smaller stones, a flatter section or a narrower lip.';
    refuse('flush-lip-bare', expected, `${mm(rise)} at θ = ${degrees(theta)}`, advice);
    break;
  }
  const between = gapMm - 2 * (flare - girdle);
  if (between < LEAST_BETWEEN_MM) {
    const expected = `at least ${mm(LEAST_BETWEEN_MM)} of metal between two openings`;
    refuse('flush-too-close', expected, mm(between), 'Use a wider gap or fewer stones.');
  }
  const wallIn = (within: Lane, softened: boolean) =>
    Math.min(
      ...places.map(({ frame, surface }) => {
        if (!lane.face) return wallBeside(within, frame, surface, flare);
        return softened
          ? rimBesideFaceCut(lane, frame, flare)
          : wallBesideFaceCut(lane, frame, surface, flare);
      }),
    );
  const wall = wallIn(lane, false);
  if (wall < LEAST_BETWEEN_MM) {
    const expected = `at least ${mm(LEAST_BETWEEN_MM)} of lane '${lane.name}' beside the openings`;
    refuse(
      'flush-off-lane',
      expected,
      mm(wall),
      `Use smaller stones or a ${lane.face ? 'thicker band' : 'wider lane'}.`,
    );
  }
  return problems.length > 0
    ? { problems }
    : { radius, height, flare, wall: wallIn(withinSoftening(lane), true) };
}

/** The lane's surface where it lies lowest round a girdle of the given radius, along the axis from its plane. */
function lowestRim(frame: Frame, lane: Lane, radius: number): number {
  const turns = Array.from({ length: 8 }, (_, i) => (i * Math.PI) / 4);
  return Math.min(
    ...turns.map((turn) => {
      const origin = toBand(frame, [radius * Math.cos(turn), radius * Math.sin(turn), 0]);
      const raised = { ...frame, origin };
      return lane.face ? faceHeight(lane, raised) : axisHeight(raised, lane.outer);
    }),
  );
}

/** The crown's outline moved out and up by the air, from the girdle inwards. */
function grownCrown(stone: Stone, air: number): [rho: number, h: number][] {
  return crownOutline(stone).map(([rho, h]) => [rho + air, h + air]);
}

/** Height of the grown outline at a radius between girdle and table; undefined elsewhere. */
export function grownCrownHeight(stone: Stone, air: number, rho: number): number | undefined {
  const outline = grownCrown(stone, air);
  const i = outline.findIndex(([r]) => r < rho);
  if (i < 1) return undefined;
  const [[r0, h0], [r1, h1]] = [outline[i - 1], outline[i]];
  return h0 + ((h1 - h0) * (r0 - rho)) / (r0 - r1);
}

/** Cutter of one seat: hole, cone, girdle, crown up to the lip, and the flare to above the metal at `top`. */
export function flushCutter(
  frame: Frame,
  stone: Stone,
  seat: Seat,
  flush: Pick<Flush, 'radius' | 'height'>,
  bottom: number,
  top: number,
  segments: number,
): WeldedMesh {
  const outline: [number, number][] = [
    ...holeOutline(seat, bottom),
    [radiusOf(seat.hole), seat.bearingFoot],
    [radiusOf(seat.opening), seat.bearingTop],
    ...grownCrown(stone, seat.air).filter(([rho]) => rho > flush.radius + 1e-6),
    [flush.radius, flush.height],
    [flush.radius + (top - flush.height) * FLARE, top],
    [0, top],
  ];
  return revolve(frame, runsThrough(outline), segments);
}
