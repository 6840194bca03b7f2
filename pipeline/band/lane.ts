import type { HammerDesign, LaneDesign, ShapeDesign } from '../catalogue/design.ts';
import { curvatureOf, loweredArc, type ProfileArc, parallelArc, radiusAt } from './profile.ts';
import { levelCurve, type SeamCurve, seamCurve } from './seam.ts';

/** One side of a lane: a seam, or an edge of the band. */
export interface LaneBound {
  /** +1: the side towards +z */
  side: 1 | -1;
  curve: SeamCurve;
  /** softening radius where the wall meets the outside, mm; 0 = sharp */
  outerSoften: number;
  /** softening radius where the wall meets the bore, mm; seams have none */
  boreSoften: number;
  /** the lane across the seam; absent at the band's edges */
  mate?: { outer: ProfileArc; outerSoften: number };
}

/** A lane as a function of θ: two profile arcs between two bounds. */
export interface Lane {
  index: number;
  name: string;
  outer: ProfileArc;
  bore: ProfileArc;
  low: LaneBound;
  high: LaneBound;
  /** marks that the sweep presses into the outer surface; sections and their facts are those before it */
  hammer?: HammerDesign;
}

/** Radius of the smallest bore: that of the size (ISO 8653). */
export function boreRadius(design: ShapeDesign): number {
  return design.circumferenceMm / (2 * Math.PI);
}

/** −1 for an outside that lies lower at mid-width than at its edges. */
function hollow({ section }: ShapeDesign): 1 | -1 {
  return section.name === 'concave' ? -1 : 1;
}

/** The band's outside before any recess. */
export function outerArc(design: ShapeDesign): ProfileArc {
  return {
    midR: boreRadius(design) + design.thicknessMm,
    curvature: hollow(design) * curvatureOf(design.section.domeMm, design.widthMm),
    facing: 1,
  };
}

/** The bore: of the size's radius at mid-width, opening towards the edges by the comfort sagitta. */
export function boreArc(design: ShapeDesign): ProfileArc {
  return {
    midR: boreRadius(design),
    curvature: curvatureOf(design.section.comfortMm, design.widthMm),
    facing: -1,
  };
}

/** Softening below a micrometre is no softening. */
function radius(softening: number): number {
  return softening < 1e-3 ? 0 : softening;
}

export function lanesOf(design: ShapeDesign): Lane[] {
  const outer = outerArc(design);
  const bore = boreArc(design);
  const seams = design.seams.map(seamCurve);
  const outers = design.lanes.map((lane) => loweredArc(outer, lane.recessMm));
  const bound = (index: number, side: 1 | -1): LaneBound => {
    const seam = side === 1 ? index : index - 1;
    const mate = index + side;
    const inside = mate >= 0 && mate < design.lanes.length;
    // a groove's rims stand where softenings would be
    const soften = (lane: number) => (design.seams[seam]?.marks?.groove ? 0 : design.lanes[lane].softenMm);
    return {
      side,
      curve: inside ? seams[seam] : levelCurve((side * design.widthMm) / 2),
      outerSoften: radius(inside ? soften(index) : design.section.edgeMm),
      boreSoften: inside ? 0 : radius(design.section.boreEdgeMm),
      mate: inside ? { outer: outers[mate], outerSoften: radius(soften(mate)) } : undefined,
    };
  };
  return design.lanes.map((lane: LaneDesign, index) => ({
    index,
    name: lane.name,
    outer: outers[index],
    bore,
    low: bound(index, -1),
    high: bound(index, 1),
    hammer: lane.hammer,
  }));
}

/** The whole band as one lane: what it would be without seams and recesses. */
export function wholeBand(design: ShapeDesign): Lane {
  const name = 'band';
  return lanesOf({ ...design, seams: [], lanes: [{ name, recessMm: 0, softenMm: 0 }], rows: [] })[0];
}

/** r where the wall at z ends and the softening towards the outside begins. */
export function wallTop(outer: ProfileArc, soften: number, side: 1 | -1, z: number): number {
  return radiusAt(parallelArc(outer, soften), z - side * soften);
}

/** r where the wall at z begins above the softening towards the bore. */
export function wallFoot(bore: ProfileArc, soften: number, side: 1 | -1, z: number): number {
  return radiusAt(parallelArc(bore, soften), z - side * soften);
}

/** z(θ) midway between a lane's two bounds, with its slope. */
export function laneMiddle(lane: Lane, theta: number): { z: number; slope: number } {
  return {
    z: (lane.low.curve.z(theta) + lane.high.curve.z(theta)) / 2,
    slope: (lane.low.curve.slope(theta) + lane.high.curve.slope(theta)) / 2,
  };
}

/** Angles at which a lane is looked over: every quarter degree, and where its bounds turn back. */
export function surveyAngles(lane: Lane): number[] {
  const even = Array.from({ length: 1440 }, (_, i) => (2 * Math.PI * i) / 1440);
  return [...even, ...lane.low.curve.extremes, ...lane.high.curve.extremes];
}
