import { thinnestUnderFacets } from '../band/facets.ts';
import { thinnestFloor } from '../band/inlay-problems.ts';
import { type Lane, surveyAngles } from '../band/lane.ts';
import { laneNeck } from '../band/lane-neck.ts';
import { deepestRelief } from '../band/lane-relief.ts';
import { shoulderProfile } from '../band/lane-section.ts';
import { radiusAt } from '../band/profile.ts';
import { angleRound, phrase, type Words } from '../trade/bench-words.ts';
import { atLeast, type BandRule, CAST_SOURCE, FILE_SOURCE, limitOf } from './bench-rule.ts';

/**
 * Casters differ: 0.4 mm, or 0.8 mm before filing and polishing. A wall below 0.4 mm does not fill; one between the two is
 * cast every day. So the lower is the limit.
 *
 * Radial metal of a lane that goes through to the bore, or down to its floor; at its sides, or under its facets.
 */
const castWall: BandRule = {
  rule: 'cast-wall',
  severity: 'error',
  source: `walls from 0.4 mm, broad areas from 0.5 mm: ${CAST_SOURCE}; another asks 0.8 mm in the file: ${FILE_SOURCE}`,
  measure: (view) =>
    view.lanes
      .filter((lane) => !lane.inlaid)
      .map((lane) => {
        const { thickness, place } = radialMetal(lane);
        return atLeast(limitOf(view, 'cast-wall', 0.4), thickness, place);
      }),
};

function radialMetal(lane: Lane): { thickness: number; place: Words } {
  const marks = deepestRelief(lane);
  const thickness = thinnestSide(lane) - marks;
  const stepped = [lane.low, lane.high].some(({ shoulder }) => shoulder);
  const own = { lane: { name: lane.name } };
  const place = phrase(stepped ? 'lane-shoulder' : 'lane-sides', own);
  if (lane.facets) {
    const under = thinnestUnderFacets(lane, lane.facets).left;
    if (under < thickness) return { thickness: under, place: phrase('lane-facets', own) };
  }
  return { thickness, place: marks > 0 ? phrase('less-relief', { place }) : place };
}

/** Least radial metal where a lane's outside ends, and at the edge of the shoulder of a stepped one, mm. */
export function thinnestSide(lane: Lane): number {
  let least = Number.POSITIVE_INFINITY;
  for (const theta of surveyAngles(lane)) {
    const [outer, bore] = [lane.outer(theta), lane.bore(theta)];
    for (const bound of [lane.low, lane.high]) {
      const z = bound.curve.z(theta);
      least = Math.min(least, radiusAt(outer, z) - radiusAt(bore, z));
      if (!bound.shoulder) continue;
      const shoulder = shoulderProfile(bound, bound.shoulder, outer, theta);
      const edge = bound.shoulder.edge.z(theta);
      least = Math.min(least, radiusAt(shoulder, edge) - radiusAt(bore, edge));
    }
  }
  return least;
}

/** Least width of a lane as it lies on the band, across its seams. */
const laneWidth: BandRule = {
  rule: 'least-lane-width',
  severity: 'error',
  source: CAST_SOURCE,
  measure: (view) =>
    view.lanes.map((lane) => {
      const worst = laneNeck(lane);
      const limit = limitOf(view, 'least-lane-width', 0.4);
      return atLeast(
        limit,
        worst.width,
        phrase('lane-across', { lane: { name: lane.name }, at: angleRound(worst.theta) }),
      );
    }),
};

/** Metal that is left beneath an inlay carries the band there; the channel is cast or turned into it. */
const inlayFloor: BandRule = {
  rule: 'inlay-floor',
  severity: 'error',
  source: 'common practice: 0.6 mm of floor stays round while the inlay is pressed or soldered in',
  measure: (view) =>
    view.lanes
      .filter((lane) => lane.inlaid)
      .map((lane) => {
        const { left, theta } = thinnestFloor(lane, view.design);
        const place = phrase('beneath-inlay', { lane: { name: lane.name }, at: angleRound(theta) });
        return atLeast(limitOf(view, 'inlay-floor', 0.6), left, place);
      }),
};

const inlayMetal: BandRule = {
  rule: 'inlay-metal',
  severity: 'warning',
  source: 'common practice: strips from 0.4 mm keep their shape while they are let in and polished',
  measure: (view) =>
    view.lanes
      .filter((lane) => lane.inlaid)
      .map((lane) => {
        const { thickness } = radialMetal(lane);
        return atLeast(
          limitOf(view, 'inlay-metal', 0.4),
          thickness,
          phrase('inlay-radial', { lane: { name: lane.name } }),
        );
      }),
};

export const LANE_RULES: readonly BandRule[] = [castWall, laneWidth, inlayFloor, inlayMetal];
