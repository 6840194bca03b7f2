import { type Lane, type LaneBound, wallFoot, wallTop } from '../band/lane.ts';
import { deepestRelief } from '../band/lane-relief.ts';
import { normalAt, radiusAt } from '../band/profile.ts';
import { thetaOf } from './clearance.ts';
import { type Frame, toBand } from './stone.ts';
import { along, cross, unit, type Vec } from './vec.ts';

/**
 * The side face of a band, for stones that are set into it: the wall at one edge of a lane. It consists of radial lines,
 * so that it is a plane wherever the edge runs level, and leans a little where the band's width changes.
 */
interface Face {
  /** the edge that it lies at */
  bound: LaneBound;
  /** the lane's other side, behind the stones */
  behind: LaneBound;
}

function faceOf({ face, low, high }: Lane): Face {
  return face === 1 ? { bound: high, behind: low } : { bound: low, behind: high };
}

/** From softening to softening, at θ. */
function levelRadii(lane: Lane, theta: number): { foot: number; top: number } {
  const { side, curve, outerSoften, boreSoften } = faceOf(lane).bound;
  const z = curve.z(theta);
  return {
    foot: wallFoot(lane.bore(theta), boreSoften, side, z),
    top: wallTop(lane.outer(theta), outerSoften, side, z),
  };
}

/**
 * Where a stone stands at θ: its girdle's centre lies `setDepth` below the middle of the face's height, along its normal.
 * @param outwards off that middle, towards the outside of the band, mm
 */
export function faceFrame(lane: Lane, setDepth: number, theta: number, outwards: number): Frame {
  const { foot, top } = levelRadii(lane, theta);
  const { side, curve } = faceOf(lane).bound;
  const r = (foot + top) / 2 + outwards;
  const slope = curve.slope(theta);
  const [sin, cos] = [Math.sin(theta), Math.cos(theta)];
  const axis = unit([(-side * slope * cos) / r, (side * slope * sin) / r, side]);
  const x = unit([r * cos, -r * sin, slope]);
  const surface: Vec = [r * sin, r * cos, curve.z(theta)];
  return { origin: along(surface, axis, -setDepth), x, y: cross(axis, x), axis };
}

/** Height along a frame's axis at which it crosses the wall of a bound. */
function wallHeightAlong({ origin, axis }: Frame, { curve }: LaneBound): number {
  let h = 0;
  for (let i = 0; i < 50; i++) {
    const p = along(origin, axis, h);
    const excess = (p[2] - curve.z(thetaOf(p))) * Math.sign(axis[2]);
    h -= excess;
    if (Math.abs(excess) < 1e-10) break;
  }
  return h;
}

/** Height along the axis of the face itself, and of the side behind the stone. */
export const faceHeight = (lane: Lane, frame: Frame) => wallHeightAlong(frame, faceOf(lane).bound);
export const behindHeight = (lane: Lane, frame: Frame) => wallHeightAlong(frame, faceOf(lane).behind);

/** Points round a circle about an axis, one of them straight outwards from the finger and one straight inwards. */
export function pointsRound(frame: Frame, h: number, radius: number): Vec[] {
  return Array.from({ length: 16 }, (_, i) => {
    const turn = (i * Math.PI) / 8;
    return toBand(frame, [radius * Math.cos(turn), radius * Math.sin(turn), h]);
  });
}

/** Least metal between a round cut into the face and the outside and the bore, mm; negative where it comes out. */
export function wallBesideFaceCut(lane: Lane, frame: Frame, h: number, radius: number): number {
  const relief = deepestRelief(lane);
  const left = pointsRound(frame, h, radius).map((p) => {
    const theta = thetaOf(p);
    const r = Math.hypot(p[0], p[1]);
    const [outer, bore] = [lane.outer(theta), lane.bore(theta)];
    const over = (radiusAt(outer, p[2]) - r) * normalAt(outer, p[2])[1] - relief;
    const under = (radiusAt(bore, p[2]) - r) * normalAt(bore, p[2])[1];
    return Math.min(over, under);
  });
  return Math.min(...left);
}

/** The same at the face, up to where its edges are softened. */
export function rimBesideFaceCut(lane: Lane, frame: Frame, radius: number): number {
  const left = pointsRound(frame, faceHeight(lane, frame), radius).map((p) => {
    const { foot, top } = levelRadii(lane, thetaOf(p));
    const r = Math.hypot(p[0], p[1]);
    return Math.min(top - r, r - foot);
  });
  return Math.min(...left);
}
