import { type Lane, surveyAngles } from './lane.ts';
import { outerEnd } from './lane-section.ts';
import { rootBetween } from './taper.ts';

/**
 * Angles at which the outer surface of a lane ends just on a joint of its section: there the part beyond begins or ends,
 * and the sweep needs a section.
 */
export function cornerAngles(lanes: Lane[]): number[] {
  return lanes.flatMap((lane) => {
    const joints = lane.outer(0).pieces.length - 1;
    if (joints === 0) return [];
    const angles = [...new Set(surveyAngles(lane))].sort((a, b) => a - b);
    return [lane.low, lane.high].flatMap((bound) =>
      Array.from({ length: joints }, (_, k) => {
        const beyond = (theta: number) => {
          const outer = lane.outer(theta);
          return outerEnd(outer, bound, theta) - outer.pieces[k].toZ;
        };
        return angles.flatMap((from, i) => {
          const to = angles[i + 1] ?? angles[0] + 2 * Math.PI;
          if (beyond(from) * beyond(to) >= 0) return [];
          return [rootBetween(beyond, from, to)];
        });
      }).flat(),
    );
  });
}
