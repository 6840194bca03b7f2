import { type Lane, surveyAngles } from './lane.ts';
import { outerEnd } from './lane-section.ts';
import type { Profile } from './profile.ts';
import { rootBetween } from './taper.ts';

/** Sections while a seam runs over a rounded corner, so that its curve opens bit by bit. */
const STEPS_OVER_CORNER = 6;

/**
 * Angles at which the outer surface of a lane, or the floor of an inlay, ends just on a joint of its section or within a
 * rounded corner: there the part beyond begins or ends, and the sweep needs a section.
 */
export function cornerAngles(lanes: Lane[]): number[] {
  return lanes.flatMap((lane) => {
    const places = cornerPlaces(lane.outer(0)).length;
    if (places === 0) return [];
    const angles = [...new Set(surveyAngles(lane))].sort((a, b) => a - b);
    angles.push(angles[0] + 2 * Math.PI);
    return [lane.low, lane.high].flatMap((bound) => {
      const beyond = (theta: number) => {
        const outer = lane.outer(theta);
        const end = outerEnd(outer, bound, theta);
        // the floor of an inlay is its outside lowered, and ends without softening
        const ends = lane.inlaid ? [end, bound.curve.z(theta)] : [end];
        return cornerPlaces(outer).flatMap((z) => ends.map((at) => at - z));
      };
      const survey = angles.map(beyond);
      return survey.slice(1).flatMap((after, i) =>
        after.flatMap((value, k) => {
          if (survey[i][k] * value >= 0) return [];
          return [rootBetween((theta) => beyond(theta)[k], angles[i], angles[i + 1])];
        }),
      );
    });
  });
}

/** z of a profile's joints and of places between them on its rounded corners. */
function cornerPlaces({ pieces }: Profile): number[] {
  return pieces.slice(0, -1).flatMap(({ fromZ, toZ, curvature }) => {
    const inner = curvature > 0 && Number.isFinite(fromZ) ? STEPS_OVER_CORNER : 1;
    return Array.from({ length: inner }, (_, k) => (k === 0 ? toZ : toZ - ((toZ - fromZ) * k) / inner));
  });
}
