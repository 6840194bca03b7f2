import type { FacetDesign, HammerDesign, LaneDesign, ShapeDesign } from '../catalogue/design.ts';
import { breaksBetween, floorArc, type Shelf, underside } from './inlay.ts';
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
  /** surfaces across the seam at which the wall is divided, so that triangles on both sides agree; upwards */
  breaks: ProfileArc[];
  /** metal that runs on beyond this side beneath an inlay, to the inlay's far side */
  shelf?: Shelf;
}

/** A lane as a function of θ: two profile arcs between two bounds, and a shelf beneath each inlay that it carries. */
export interface Lane {
  index: number;
  name: string;
  outer: ProfileArc;
  /** the underside: the band's bore, or for an inlay the floor of its channel */
  bore: ProfileArc;
  /** lies in a channel of another lane */
  inlaid: boolean;
  low: LaneBound;
  high: LaneBound;
  /** marks that the sweep presses into the outer surface; sections and their facts are those before it */
  hammer?: HammerDesign;
  /** flat cuts that are made in the swept solid; sections and their facts are those before them */
  facets?: FacetDesign;
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
  const floors = design.lanes.map(({ inlay }) => inlay && floorArc(outer, inlay.depthMm));
  const within = (index: number) => index >= 0 && index < design.lanes.length;
  const curveAt = (index: number, side: 1 | -1) =>
    within(index + side) ? seams[side === 1 ? index : index - 1] : levelCurve((side * design.widthMm) / 2);
  const softenAtBore = (index: number, side: 1 | -1) =>
    within(index + side) ? 0 : radius(design.section.boreEdgeMm);
  /** metal beneath the inlay on this side of a lane, if this lane is its bed */
  const shelf = (index: number, side: 1 | -1): Shelf | undefined => {
    const over = index + side;
    const floor = floors[over];
    if (!floor || design.lanes[over].inlay?.bed !== design.lanes[index].name) return undefined;
    return {
      floor,
      curve: curveAt(over, side),
      boreSoften: softenAtBore(over, side),
      breaks: breaksBetween(undefined, floor, [floors[over + side]]),
    };
  };
  const bound = (index: number, side: 1 | -1): LaneBound => {
    const mate = index + side;
    const inside = within(mate);
    const own = shelf(index, side);
    const floor = own?.floor ?? floors[index];
    return {
      side,
      curve: curveAt(index, side),
      outerSoften: radius(inside ? design.lanes[index].softenMm : design.section.edgeMm),
      boreSoften: floor ? 0 : softenAtBore(index, side),
      mate: inside ? { outer: outers[mate], outerSoften: radius(design.lanes[mate].softenMm) } : undefined,
      breaks: breaksBetween(floor, undefined, [floors[mate]]),
      ...(own ? { shelf: own } : {}),
    };
  };
  return design.lanes.map((lane: LaneDesign, index) => ({
    index,
    name: lane.name,
    outer: outers[index],
    bore: floors[index] ? underside(floors[index]) : bore,
    inlaid: floors[index] !== undefined,
    low: bound(index, -1),
    high: bound(index, 1),
    hammer: lane.hammer,
    facets: lane.facets,
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
