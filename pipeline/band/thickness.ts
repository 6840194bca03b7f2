import type { ShapeDesign } from '../plan/design.ts';
import { type Lane, lanesOf } from './lane.ts';
import { outerEnd } from './lane-section.ts';
import { leastBetween } from './least.ts';
import { flatOutside } from './outline.ts';
import { boreRadius, boreSurface } from './outside.ts';
import { type Profile, radiusAt, tangentCircle } from './profile.ts';

/** What a band measures at one θ, or as the extremes of several; mm. */
export interface Thickness {
  /** from the size's radius to the highest metal */
  highest: number;
  /** radial metal from bore to outside, between the softened edges: where there is least of it, and most */
  least: number;
  most: number;
}

/**
 * Of a band without taper once; of a tapered one at its top and at its back, between which others lie; of one with a flat
 * on top there, and at the ends of the flat.
 */
export function thicknesses(design: ShapeDesign, lanes: Lane[] = lanesOf(design)): Thickness[] {
  const flat = flatOutside(design);
  if (flat) return [[0], [Math.PI], flat.thickness.extremes].map((at) => thicknessesAt(design, lanes, at));
  if (design.taper) return [thicknessesAt(design, lanes, [0]), thicknessesAt(design, lanes, [Math.PI])];
  // lanes meet the crest where their seams turn back, if they meet it at all
  const turns = lanes.flatMap(({ low, high }) => [...low.curve.extremes, ...high.curve.extremes]);
  return [thicknessesAt(design, lanes, [...EVEN, ...turns])];
}

const EVEN = Array.from({ length: 24 }, (_, i) => (2 * Math.PI * i) / 24);

function thicknessesAt(design: ShapeDesign, lanes: Lane[], angles: number[]): Thickness {
  const bore = boreSurface(design);
  const all = angles.flatMap((theta) => lanes.map((lane) => laneThickness(lane, bore(theta), theta)));
  return {
    highest: Math.max(...all.map(({ highest }) => highest)) - boreRadius(design),
    least: Math.min(...all.map(({ least }) => least)),
    most: Math.max(...all.map(({ most }) => most)),
  };
}

function laneThickness(lane: Lane, bore: Profile, theta: number): Thickness {
  const outer = lane.outer(theta);
  const [from, to] = [lane.low, lane.high].map((bound) => outerEnd(outer, bound, theta));
  const wall = (z: number) => radiusAt(outer, z) - radiusAt(bore, z);
  const spans = spansOf(outer, from, to);
  const greatest = (f: (z: number) => number) =>
    Math.max(...spans.map(([a, b]) => -leastBetween((z) => -f(z), a, b).value));
  return {
    highest: Math.max(
      greatest((z) => radiusAt(outer, z)),
      ...softenedTops(lane, outer, theta),
    ),
    least: Math.min(...spans.map(([a, b]) => leastBetween(wall, a, b).value)),
    most: greatest(wall),
  };
}

/** The parts of a profile between two z, each a curve without a corner. */
function spansOf({ pieces }: Profile, from: number, to: number): [number, number][] {
  const within = (z: number) => Math.min(to, Math.max(from, z));
  return pieces
    .map(({ fromZ, toZ }): [number, number] => [within(fromZ), within(toZ)])
    .filter(([a, b], i) => b > a || (i === 0 && to <= from));
}

/** Tops of softened edges beside which the outside falls away, as those of a concave section. */
function softenedTops({ low, high }: Lane, outer: Profile, theta: number): number[] {
  return [low, high].flatMap(({ curve, side, outerSoften }) => {
    if (outerSoften === 0) return [];
    const centreZ = curve.z(theta) - side * outerSoften;
    const touch = tangentCircle(outer, centreZ, outerSoften);
    return side * (touch.z - centreZ) <= 0 ? [touch.centreR + outerSoften] : [];
  });
}
