import type { FacetDesign, HammerDesign, LaneDesign, ShapeDesign, StepDesign } from '../plan/design.ts';
import type { TextureDesign } from '../plan/texture-design.ts';
import { breaksBetween, type InlayShelf, loweredSurface, underside } from './inlay.ts';
import { edgeCurve, isUniform, middleCurve, middlePath, otherWidth, widthShare } from './outline.ts';
import { boreSurface, outsideSurface } from './outside.ts';
import { type Profile, type ProfileSurface, tangentCircle } from './profile.ts';
import { seamCurve } from './seam.ts';
import { type SeamCurve, sumOf } from './seam-curve.ts';
import { blendedCurve, turningAngles } from './taper.ts';

export { boreRadius } from './outside.ts';

/** One side of a lane: a seam, or an edge of the band. */
export interface LaneBound {
  /** +1: the side towards +z */
  side: 1 | -1;
  /** where the lane's outer surface ends: the seam, the edge, or the riser of a stepped edge */
  curve: SeamCurve;
  /** softening radius where the wall (or riser) meets the outside, mm; 0 = sharp */
  outerSoften: number;
  /** softening radius where the wall meets the bore, mm; seams have none */
  boreSoften: number;
  /** the lane across the seam; absent at the band's edges */
  mate?: { outer: ProfileSurface; outerSoften: number };
  /** surfaces across the seam at which the wall is divided, so that triangles on both sides agree; upwards */
  breaks: ProfileSurface[];
  /** metal that runs on beyond this side beneath an inlay, to the inlay's far side */
  shelf?: InlayShelf;
  /** of a stepped edge: the shoulder beyond the riser */
  shoulder?: Shoulder;
  /** an edge whose wall has run out to nothing all round has none */
  wall: boolean;
}

/** A level shoulder between the riser and the edge of the band; mm. */
export interface Shoulder {
  /** the edge of the band */
  edge: SeamCurve;
  depthMm: number;
  /** radius of the hollow at the riser's foot */
  footMm: number;
  /** softening radius where the edge's wall meets the shoulder */
  edgeSoften: number;
}

/** A lane as a function of θ: two profiles between two bounds, and a shelf beneath each inlay that it carries. */
export interface Lane {
  index: number;
  name: string;
  outer: ProfileSurface;
  /** the underside: the band's bore, or for an inlay the floor of its channel */
  bore: ProfileSurface;
  /** lies in a channel of another lane */
  inlaid: boolean;
  /** seen from the finger: its bore stands for the outer surface, which stands for the bore (`insideOut`) */
  turned?: true;
  /** seen from beside the band: the wall at this edge stands for the outer surface, the lane's other side for the bore (`edgewise`) */
  face?: LaneBound['side'];
  low: LaneBound;
  high: LaneBound;
  /** of the line that counts as its middle from the true one, mm (`offsetLane`) */
  offsetMm?: number;
  /** marks that the sweep presses into the outer surface; sections and their facts are those before it */
  hammer?: HammerDesign;
  texture?: TextureDesign;
  /** flat cuts that are made in the swept solid; sections and their facts are those before them */
  facets?: FacetDesign;
}

/** Softening below a micrometre is no softening. */
function radius(softening: number): number {
  return softening < 1e-3 ? 0 : softening;
}

/** What the lanes of a design are made of. */
interface Layers {
  design: ShapeDesign;
  seams: SeamCurve[];
  /** outer surface of each lane */
  outers: ProfileSurface[];
  /** floor of the channel of each lane that is an inlay */
  floors: (ProfileSurface | undefined)[];
  /** underside of each lane */
  under: ProfileSurface[];
}

/** The lane as a row sees it that does not run along its middle. */
export function offsetLane(lane: Lane, offsetMm: number | undefined): Lane {
  return offsetMm === undefined ? lane : { ...lane, offsetMm };
}

/** A lane as who sets stones into its bore sees it. */
export function insideOut(lane: Lane): Lane {
  return { ...lane, outer: lane.bore, bore: lane.outer, turned: true };
}

/** A lane as who sets stones into its side face sees it. */
export function edgewise(lane: Lane, face: LaneBound['side']): Lane {
  return { ...lane, face };
}

export function lanesOf(design: ShapeDesign): Lane[] {
  const layers = layersOf(design);
  const { outers, floors, under } = layers;
  const last = design.lanes.length - 1;
  return design.lanes.map((lane: LaneDesign, index) => ({
    index,
    name: lane.name,
    outer: outers[index],
    bore: under[index],
    inlaid: floors[index] !== undefined,
    low: index === 0 ? edgeBound(layers, index, -1) : seamBound(layers, index, -1),
    high: index === last ? edgeBound(layers, index, 1) : seamBound(layers, index, 1),
    hammer: lane.hammer,
    texture: lane.texture,
    facets: lane.facets,
  }));
}

function layersOf(design: ShapeDesign): Layers {
  const { lanes } = design;
  const outside = outsideSurface(design);
  const bore = boreSurface(design);
  const seams = seamsOf(design);
  const outers = lanes.map((lane) => loweredSurface(design, outside, lane.recessMm));
  const floors = lanes.map(({ inlay }) => inlay && loweredSurface(design, outside, inlay.depthMm));
  const under = floors.map((floor) => (floor ? underside(floor) : bore));
  return { design, seams, outers, floors, under };
}

/** The seams where the band has them: they follow its width and its middle line. */
function seamsOf(design: ShapeDesign): SeamCurve[] {
  const other = otherWidth(design);
  const share = widthShare(design);
  const middle = middlePath(design) && middleCurve(design);
  return design.seams.map((seam, i) => {
    const own = seamCurve(seam);
    const straight = other ? blendedCurve(own, seamCurve(other.seams[i]), share) : own;
    return middle ? sumOf(middle, straight, turningAngles) : straight;
  });
}

/** Metal beneath the inlay on this side of a lane, if this lane is its bed. */
function shelfOf({ design, seams, floors }: Layers, index: number, side: 1 | -1): InlayShelf | undefined {
  const { lanes, section } = design;
  const over = index + side;
  const floor = floors[over];
  if (!floor || lanes[over].inlay?.bed !== lanes[index].name) return undefined;
  const beyond = over + side;
  const inside = beyond >= 0 && beyond < lanes.length;
  return {
    floor,
    curve: inside ? seams[side === 1 ? over : over - 1] : edgeCurve(design, side),
    boreSoften: inside ? 0 : radius(section.boreEdgeMm),
    breaks: breaksBetween(undefined, floor, [floors[beyond]]),
  };
}

function seamBound(layers: Layers, index: number, side: 1 | -1): LaneBound {
  const { design, seams, outers, floors } = layers;
  const mate = index + side;
  const shelf = shelfOf(layers, index, side);
  const seam = side === 1 ? index : mate;
  // a groove's rims stand where softenings would be
  const soften = (lane: number) =>
    design.seams[seam].marks?.groove ? 0 : radius(design.lanes[lane].softenMm);
  return {
    side,
    curve: seams[seam],
    outerSoften: soften(index),
    boreSoften: 0,
    mate: { outer: outers[mate], outerSoften: soften(mate) },
    breaks: breaksBetween(shelf?.floor ?? floors[index], undefined, [floors[mate]]),
    ...(shelf && { shelf }),
    wall: true,
  };
}

function edgeBound({ design, outers, floors, under }: Layers, index: number, side: 1 | -1): LaneBound {
  const { section } = design;
  const edgeSoften = radius((side === 1 ? section.farEdgeMm : undefined) ?? section.edgeMm);
  const boreSoften = floors[index] ? 0 : radius(section.boreEdgeMm);
  const step = stepAt(section.step, side);
  const edge = edgeCurve(design, side);
  if (!step) {
    const bound = { side, curve: edge, outerSoften: edgeSoften, boreSoften, breaks: [] };
    const standing = () => wallHeight(bound, outers[index](0), under[index](0), 0) > 1e-6;
    return { ...bound, wall: !isUniform(design) || standing() };
  }
  const { widthMm, depthMm, softenMm, footMm } = step;
  return {
    side,
    curve: edgeCurve(design, side, widthMm),
    outerSoften: radius(softenMm),
    boreSoften,
    breaks: [],
    shoulder: { edge, depthMm, footMm: radius(footMm), edgeSoften },
    wall: true,
  };
}

function stepAt(step: StepDesign | undefined, side: 1 | -1): StepDesign | undefined {
  return step && (step.sides === 'both' || (step.sides === 'low') === (side === -1)) ? step : undefined;
}

/** The whole band as one lane: what it would be without seams and recesses. */
export function wholeBand(design: ShapeDesign): Lane {
  const name = 'band';
  return lanesOf({ ...design, seams: [], lanes: [{ name, recessMm: 0, softenMm: 0 }], rows: [] })[0];
}

/** r where the wall at z ends and the softening towards the outside begins. */
export function wallTop(outer: Profile, soften: number, side: 1 | -1, z: number): number {
  return tangentCircle(outer, z - side * soften, soften).centreR;
}

/** r where the wall at z begins above the softening towards the bore. */
export function wallFoot(bore: Profile, soften: number, side: 1 | -1, z: number): number {
  return tangentCircle(bore, z - side * soften, soften).centreR;
}

function wallHeight(
  { side, curve, outerSoften, boreSoften }: Pick<LaneBound, 'side' | 'curve' | 'outerSoften' | 'boreSoften'>,
  outer: Profile,
  bore: Profile,
  theta: number,
): number {
  const z = curve.z(theta);
  return wallTop(outer, outerSoften, side, z) - wallFoot(bore, boreSoften, side, z);
}

/** z(θ) midway between a lane's two bounds, with its slope. */
export function laneMiddle(lane: Lane, theta: number): { z: number; slope: number } {
  return {
    z: (lane.low.curve.z(theta) + lane.high.curve.z(theta)) / 2 + (lane.offsetMm ?? 0),
    slope: (lane.low.curve.slope(theta) + lane.high.curve.slope(theta)) / 2,
  };
}

/** Angles at which a lane is looked over: every quarter degree, and where its bounds turn back. */
export function surveyAngles(lane: Lane): number[] {
  const even = Array.from({ length: 1440 }, (_, i) => (2 * Math.PI * i) / 1440);
  return [...even, ...lane.low.curve.extremes, ...lane.high.curve.extremes];
}
