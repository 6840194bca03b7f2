import type { ShapeDesign } from '../plan/design.ts';
import type { SeamPath } from '../plan/seam-design.ts';
import type { OtherWidth } from '../plan/width-design.ts';
import { type FlatTop, flatCurve, flatTop, withFlat } from './flat-top.ts';
import { headPath } from './head-path.ts';
import { seamCurve } from './seam.ts';
import { levelCurve, rememberedCurve, type SeamCurve, sumOf, withExtremes } from './seam-curve.ts';
import { blend, type Tapering, tapering, turningAngles } from './taper.ts';

/** Whether the band is the same all round, seams and stones aside. */
export function isUniform({ taper, outline, flat }: ShapeDesign): boolean {
  return !taper && !outline && !flat;
}

/** What is worked out once of a design with an outline: it is asked for again and again. */
interface Worked {
  path?: SeamPath;
  middle?: SeamCurve;
  width?: SeamCurve;
  flat?: FlatOutside;
}

/** A flat on top as it lies, and the thickness of its band, told as z of a curve. */
export interface FlatOutside {
  top: FlatTop;
  thickness: SeamCurve;
}
const worked = new WeakMap<ShapeDesign, Worked>();

function workedOf(design: ShapeDesign): Worked {
  const known = worked.get(design) ?? {};
  worked.set(design, known);
  return known;
}

/** The path of the middle line; absent where that runs level. */
export function middlePath(design: ShapeDesign): SeamPath | undefined {
  const { around, middle } = design.outline ?? {};
  if (!around) return middle;
  const own = workedOf(design);
  own.path ??= headPath(design, around);
  return own.path;
}

/** z of the band's middle line. Its whole section is shifted by it, a shear that leaves every volume as it is. */
export function middleCurve(design: ShapeDesign): SeamCurve {
  const path = middlePath(design);
  if (!path) return levelCurve(0);
  const own = workedOf(design);
  own.middle ??= rememberedCurve(seamCurve(path));
  return own.middle;
}

/** The radius at which the band's run is judged: that of its highest outside at the top. */
function runRadius({ circumferenceMm, thicknessMm }: ShapeDesign): number {
  return circumferenceMm / (2 * Math.PI) + thicknessMm;
}

/** Width along the finger, told as z of a curve. */
export function widthCurve(design: ShapeDesign): SeamCurve {
  if (!design.outline) return plainWidth(design);
  const own = workedOf(design);
  own.width ??= rememberedCurve(plainWidth(design));
  return own.width;
}

function plainWidth(design: ShapeDesign): SeamCurve {
  const { widthMm, taper, outline } = design;
  const plain = outline?.width
    ? seamCurve(outline.width)
    : taper
      ? scaled(BLEND, taper.widthMm - widthMm, widthMm)
      : levelCurve(widthMm);
  if (!outline || outline.measured === 'finger') return plain;
  const middle = middleCurve(design);
  return alongFinger(plain, middle, runRadius(design));
}

/** (1 − cos θ)/2, by which tapers go over from top to back. */
const BLEND: SeamCurve = {
  z: (theta) => blend(theta)[0],
  slope: (theta) => blend(theta)[1],
  bend: (theta) => blend(theta)[2],
  extremes: [0, Math.PI],
};

function scaled(curve: SeamCurve, by: number, plus: number): SeamCurve {
  const own = {
    z: (theta: number) => plus + by * curve.z(theta),
    slope: (theta: number) => by * curve.slope(theta),
    bend: (theta: number) => by * curve.bend(theta),
  };
  return withExtremes(own, () => (by === 0 ? [] : curve.extremes));
}

/** Step of the differences that tell how a slope changes, rad: only the density of sections hangs on it. */
const STEP = 1e-4;

/** The width along the finger of a band that is so wide square to its middle line: w √(1 + (m′/r)²). */
function alongFinger(width: SeamCurve, middle: SeamCurve, r: number): SeamCurve {
  const z = (theta: number) => width.z(theta) * Math.hypot(1, middle.slope(theta) / r);
  const slope = (theta: number) => {
    const run = middle.slope(theta) / r;
    const size = Math.hypot(1, run);
    return width.slope(theta) * size + (width.z(theta) * run * middle.bend(theta)) / r / size;
  };
  const bend = (theta: number) => (slope(theta + STEP) - slope(theta - STEP)) / (2 * STEP);
  return withExtremes({ z, slope, bend }, () => turningAngles(slope));
}

/** An edge of the band, `inwardsMm` towards its middle. */
export function edgeCurve(design: ShapeDesign, side: 1 | -1, inwardsMm = 0): SeamCurve {
  const { widthMm, outline } = design;
  if (isUniform(design)) return levelCurve(side * (widthMm / 2 - inwardsMm));
  const edge = scaled(widthCurve(design), side / 2, -side * inwardsMm);
  return outline ? sumOf(middleCurve(design), edge, turningAngles) : edge;
}

/** What goes by shares of the width, at another width. */
export function otherWidth({ taper, outline }: ShapeDesign): OtherWidth | undefined {
  return outline?.other ?? taper;
}

/** How far the width has gone from that of the design (0) to the other one (1). */
export function widthShare(design: ShapeDesign): SeamCurve {
  const { widthMm, outline } = design;
  if (!outline) return BLEND;
  const apart = outline.other.widthMm - widthMm;
  return scaled(widthCurve(design), 1 / apart, -widthMm / apart);
}

/** A measure that goes with the width. */
export function withWidth(share: SeamCurve, own: number, other: number, theta: number): Tapering {
  if (own === other) return { value: own, slope: 0 };
  return { value: own + share.z(theta) * (other - own), slope: share.slope(theta) * (other - own) };
}

/** Thickness from the size's radius to the highest place of the outside, mm. */
export function thicknessAt(design: ShapeDesign, theta: number): Tapering {
  const flat = flatOutside(design)?.thickness;
  return flat ? { value: flat.z(theta), slope: flat.slope(theta) } : roundThickness(design, theta);
}

/** The same of a band without its flat. */
function roundThickness({ thicknessMm, taper }: ShapeDesign, theta: number): Tapering {
  return tapering(thicknessMm, taper?.thicknessMm ?? thicknessMm, theta);
}

/** The flat on top of a band; undefined where it has none or none can be. */
export function flatOutside(design: ShapeDesign): FlatOutside | undefined {
  if (!design.flat) return undefined;
  const own = workedOf(design);
  if (own.flat) return own.flat;
  const bore = design.circumferenceMm / (2 * Math.PI);
  const outside = (theta: number) => {
    const { value, slope } = roundThickness(design, theta);
    return { value: bore + value, slope };
  };
  const top = flatTop(design.flat, outside);
  if (!top) return undefined;
  own.flat = { top, thickness: rememberedCurve(flatCurve(top, withFlat(top, outside), bore)) };
  return own.flat;
}

/** Angles at which a band is looked over: every degree, and where its width or middle line turn back. */
export function outlineAngles(design: ShapeDesign): number[] {
  const even = Array.from({ length: 360 }, (_, i) => (2 * Math.PI * i) / 360);
  return [...even, ...widthCurve(design).extremes, ...middleCurve(design).extremes];
}

/** Least z of the first edge and greatest of the second, mm. */
export function reachAcross(design: ShapeDesign): [lowest: number, highest: number] {
  const [low, high] = [edgeCurve(design, -1), edgeCurve(design, 1)];
  const angles = (edge: SeamCurve) =>
    isUniform(design) ? [0] : [...outlineAngles(design), ...edge.extremes];
  return [Math.min(...angles(low).map(low.z)), Math.max(...angles(high).map(high.z))];
}

/** Widths of the band square to its run, the least and the greatest, and where; mm. */
export function widthExtremes(
  design: ShapeDesign,
): Record<'least' | 'most', { widthMm: number; theta: number }> {
  const width = widthCurve(design);
  const middle = middleCurve(design);
  const r = runRadius(design);
  const square = (theta: number) => width.z(theta) / Math.hypot(1, middle.slope(theta) / r);
  const all = (isUniform(design) ? [0] : outlineAngles(design)).map((theta) => ({
    widthMm: square(theta),
    theta,
  }));
  return {
    least: all.reduce((a, b) => (b.widthMm < a.widthMm ? b : a)),
    most: all.reduce((a, b) => (b.widthMm > a.widthMm ? b : a)),
  };
}
