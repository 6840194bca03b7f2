import type { ShapeDesign } from '../plan/design.ts';
import {
  isUniform,
  middleCurve,
  middlePath,
  otherWidth,
  thicknessAt,
  widthCurve,
  widthShare,
  withWidth,
} from './outline.ts';
import {
  curvatureOf,
  levelArc,
  type Profile,
  type ProfilePiece,
  type ProfileSurface,
  shifted,
} from './profile.ts';
import type { SeamCurve } from './seam-curve.ts';

/** Radius of the smallest bore: that of the size (ISO 8653). */
export function boreRadius(design: ShapeDesign): number {
  return design.circumferenceMm / (2 * Math.PI);
}

/** Computed once where the band is the same all round; else kept for the angle last asked for, which is asked for often. */
function surfaceOf(design: ShapeDesign, at: ProfileSurface): ProfileSurface {
  let last = 0;
  let kept = at(last);
  if (isUniform(design)) return () => kept;
  return (theta) => {
    if (theta !== last) {
      kept = at(theta);
      last = theta;
    }
    return kept;
  };
}

/** The surface about the band's middle line instead of z = 0. */
function aboutMiddle(design: ShapeDesign, straight: ProfileSurface): ProfileSurface {
  if (!middlePath(design)) return straight;
  const middle = middleCurve(design);
  return surfaceOf(design, (theta) => shifted(straight(theta), middle.z(theta), middle.slope(theta)));
}

/**
 * The bore: of the size's radius on the middle line, opening towards the edges by the comfort sagitta. Its curve stays
 * whatever the width does.
 */
export function boreSurface(design: ShapeDesign): ProfileSurface {
  const { section, widthMm } = design;
  const arc = levelArc(boreRadius(design), curvatureOf(section.comfortMm, widthMm), -1);
  return aboutMiddle(design, () => arc);
}

/**
 * The band's outside before any recess. Where the width changes it keeps the radii of its curves and the angles of its
 * flats: it is the same section, cut narrower and lower.
 */
export function outsideSurface(design: ShapeDesign): ProfileSurface {
  return aboutMiddle(design, straightOutside(design));
}

/** The outside of the band if its middle line ran level. */
function straightOutside(design: ShapeDesign): ProfileSurface {
  const share = widthShare(design);
  switch (design.section.name) {
    case 'flat':
    case 'flat-court':
      return surfaceOf(design, (theta) => levelOutside(design, theta));
    case 'd':
    case 'court':
      return domed(design, 1, share);
    case 'concave':
      return domed(design, -1, share);
    case 'bevelled':
      return surfaceOf(design, bevelled(design, share));
    case 'knife-edge':
      return surfaceOf(design, ridged(design, share));
  }
}

/** Where the outside begins and ends at the top of the band: at its edges, or at the risers of stepped ones. */
export function outsideSpan({ widthMm, section: { step } }: ShapeDesign): [fromZ: number, toZ: number] {
  const inwards = (side: 'low' | 'high') =>
    step && (step.sides === 'both' || step.sides === side) ? step.widthMm : 0;
  return [inwards('low') - widthMm / 2, widthMm / 2 - inwards('high')];
}

function levelOutside(design: ShapeDesign, theta: number): Profile {
  const { value, slope } = thicknessAt(design, theta);
  return levelArc(boreRadius(design) + value, 0, 1, slope);
}

/** The highest place of the outside: where it lies and how it shifts with θ. */
function crestAt(
  design: ShapeDesign,
  theta: number,
  share: SeamCurve,
): Pick<ProfilePiece, 'z0' | 'r0' | 'driftZ' | 'driftR'> {
  const top = design.section.crestMm ?? 0;
  const crest = withWidth(share, top, otherWidth(design)?.crestMm ?? top, theta);
  const thickness = thicknessAt(design, theta);
  return {
    z0: crest.value,
    r0: boreRadius(design) + thickness.value,
    driftZ: crest.slope,
    driftR: thickness.slope,
  };
}

/** Where the outermost pieces of a profile end. */
const FAR = Number.POSITIVE_INFINITY;

/** An arc to either side of the crest, level where they meet; bulging out (1) or in (−1). */
function domed(design: ShapeDesign, way: 1 | -1, share: SeamCurve): ProfileSurface {
  const { domeMm, farDomeMm, crestMm } = design.section;
  const [fromZ, toZ] = outsideSpan(design);
  const crest = crestMm ?? 0;
  const low = way * curvatureOf(domeMm, 2 * (crest - fromZ));
  const high = way * curvatureOf(farDomeMm ?? domeMm, 2 * (toZ - crest));
  const even = Math.abs(high - low) < 1e-12;
  return surfaceOf(design, (theta) => {
    const { z0, r0, driftZ, driftR } = crestAt(design, theta, share);
    const arc = (from: number, to: number, curvature: number): ProfilePiece => ({
      fromZ: from,
      toZ: to,
      z0,
      r0,
      nz0: 0,
      curvature,
      driftZ,
      driftR,
    });
    const pieces = even ? [arc(-FAR, FAR, low)] : [arc(-FAR, z0, low), arc(z0, FAR, high)];
    return { facing: 1, pieces };
  });
}

/** Two flats that meet at a ridge: tangents to the circle that rounds it, whose top is the crest. */
function ridged(design: ShapeDesign, share: SeamCurve): ProfileSurface {
  const { lowRad, highRad, roundMm } = design.section.ridge!;
  const [low, high] = [-lowRad, highRad].map((angle) => ({
    across: roundMm * Math.sin(angle),
    down: roundMm * (1 - Math.cos(angle)),
    nz0: Math.sin(angle),
  }));
  const curvature = 1 / roundMm;
  return (theta) => {
    const { z0, r0, driftZ, driftR } = crestAt(design, theta, share);
    const lowEnd = z0 + low.across;
    const highEnd = z0 + high.across;
    return chain([
      { z0: lowEnd, r0: r0 - low.down, nz0: low.nz0, curvature: 0, driftZ, driftR, toZ: lowEnd },
      { z0, r0, nz0: 0, curvature, driftZ, driftR, toZ: highEnd },
      { z0: highEnd, r0: r0 - high.down, nz0: high.nz0, curvature: 0, driftZ, driftR },
    ]);
  };
}

/** A level top between two chamfers; its corners rounded by circles that touch both. */
function bevelled(design: ShapeDesign, share: SeamCurve): ProfileSurface {
  const { lowMm, highMm, lowRad, highRad, roundMm } = design.section.bevel!;
  const back = otherWidth(design)?.bevelMm ?? [lowMm, highMm];
  const [fromZ, toZ] = outsideSpan(design);
  const bore = boreRadius(design);
  const width = widthCurve(design);
  const corners = [
    { side: -1, edge: fromZ, chamfer: lowMm, narrow: back[0], angle: lowRad },
    { side: 1, edge: toZ, chamfer: highMm, narrow: back[1], angle: highRad },
  ].map((corner) => ({
    ...corner,
    reach: roundMm * Math.tan(corner.angle / 2),
    sine: Math.sin(corner.angle),
    cosine: Math.cos(corner.angle),
  }));
  const curvature = 1 / roundMm;
  return (theta) => {
    const [z, slope] = [width.z(theta), width.slope(theta)];
    const { value, slope: driftR } = thicknessAt(design, theta);
    const r0 = bore + value;
    const [low, high] = corners.map(({ side, edge, chamfer, narrow, reach, sine, cosine }) => {
      const broad = withWidth(share, chamfer, narrow, theta);
      // the outside's end keeps its distance from the edge, the corner its own from there
      const at = edge + (side * (z - design.widthMm)) / 2 - side * broad.value;
      const driftZ = (side * slope) / 2 - side * broad.slope;
      const roundZ = at - side * reach;
      const edgeZ = at + side * reach * cosine;
      const [chamferEnd, roundEnd] = side < 0 ? [edgeZ, roundZ] : [FAR, edgeZ];
      return {
        chamfer: { r0, driftR, driftZ, z0: at, nz0: side * sine, curvature: 0, toZ: chamferEnd },
        rounding: { r0, driftR, driftZ, z0: roundZ, nz0: 0, curvature, toZ: roundEnd },
      };
    });
    return chain([
      low.chamfer,
      low.rounding,
      { r0, driftR, driftZ: 0, z0: 0, nz0: 0, curvature: 0, toZ: high.rounding.z0 },
      high.rounding,
      high.chamfer,
    ]);
  };
}

type Link = Omit<ProfilePiece, 'fromZ' | 'toZ'> & { toZ?: number };

function chain(links: Link[]): Profile {
  let fromZ = -FAR;
  const pieces = links.map(({ toZ = FAR, z0, r0, nz0, curvature, driftZ, driftR }): ProfilePiece => {
    const piece = { fromZ, toZ, z0, r0, nz0, curvature, driftZ, driftR };
    fromZ = toZ;
    return piece;
  });
  return { facing: 1, pieces };
}
