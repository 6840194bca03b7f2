import { Matrix4, type Vector3 } from 'three';
import type { BuiltShape } from '../band/built-shape.ts';
import type { ShotName } from '../catalogue/plan.ts';
import type { CameraDirection, FrameFill } from './framing.ts';
import { inscription, inscriptionAngle, inscriptionHeads, outsideHeads } from './inscription.ts';
import { closeUp, outline, swept } from './outline.ts';
import { forEachVertex, type PlacedBand, placeBand } from './pose.ts';

/** How each kind of shot poses its bands and where its camera stands. Degrees here, radians past this file. */
interface View {
  azimuth: number;
  elevation: number;
  fovY: number;
  fill: FrameFill;
  /** `turn`: how far a turntable has turned, radians */
  place(shapes: readonly BuiltShape[], turn: number): PlacedBand[];
  /** what must be in the frame, if not all of the bands */
  frame?(bands: readonly PlacedBand[]): Vector3[];
  /** what an open lens is focused on: the stone or metal nearest to it, or the middle of the frame */
  focus?: 'middle';
}

const DEG = Math.PI / 180;

function standing(yaw: number, roll = 0): (shapes: readonly BuiltShape[]) => PlacedBand[] {
  return (shapes) =>
    shapes
      .slice(0, 1)
      .map((s) => placeBand(s, { rest: 'standing', yaw: yaw * DEG, roll: roll * DEG, x: 0, z: 0 }));
}

function outerRadius(shape: BuiltShape): number {
  // stones and claws may stand proud of the band; half a millimetre clears both
  const thickness = Math.max(shape.thicknessMm, shape.back?.thicknessMm ?? 0);
  return shape.innerDiameterMm / 2 + thickness + (shape.rows.length > 0 ? 0.5 : 0);
}

/** A standing band seen from above: a rectangle of half-sizes (a, b), its long side turned by yaw. */
interface Footprint {
  a: number;
  b: number;
  yaw: number;
}

function footprint(shape: BuiltShape, yaw: number): Footprint {
  return { a: outerRadius(shape), b: Math.max(shape.widthMm, shape.back?.widthMm ?? 0) / 2, yaw };
}

/** Half-extent of a footprint along the ground direction (x, z). */
function extent(f: Footprint, x: number, z: number): number {
  const along = Math.abs(Math.cos(f.yaw) * x - Math.sin(f.yaw) * z);
  const across = Math.abs(Math.sin(f.yaw) * x + Math.cos(f.yaw) * z);
  return f.a * along + f.b * across;
}

/**
 * Least distance along the ground direction (x, z), unit length, at which two footprints are `clearance` mm
 * apart: separating axes of two rectangles, so the bands can never touch.
 */
export function footprintSeparation(
  p: Footprint,
  q: Footprint,
  x: number,
  z: number,
  clearance: number,
): number {
  let least = Number.POSITIVE_INFINITY;
  for (const f of [p, q]) {
    for (const turn of [0, Math.PI / 2]) {
      const ax = Math.cos(f.yaw + turn);
      const az = -Math.sin(f.yaw + turn);
      const along = Math.abs(x * ax + z * az);
      if (along > 1e-9) least = Math.min(least, (extent(p, ax, az) + extent(q, ax, az) + clearance) / along);
    }
  }
  return least;
}

/** Room between the edges of bands that lie on each other, mm: they touch as far as anyone can see. */
const HAIR = 0.01;

/**
 * Two bands lying edge on edge, the first one's far edge against the other's first, the larger band below. Their tops
 * (θ = 0) are towards the camera and flush, so that seams which mirror each other or run on are seen to do so there.
 */
function stackPair(shapes: readonly BuiltShape[]): PlacedBand[] {
  const yaw = 14 * DEG;
  const [below, above] = shapes;
  const lower = placeBand(below, { rest: 'lying', yaw, roll: 0, x: 0, z: 0 });
  const [r, over] = [below, above].map((shape) => shape.innerDiameterMm / 2 + shape.thicknessMm);
  const forward = r - over;
  const upper = placeBand(above, {
    rest: 'lying',
    yaw,
    roll: 0,
    x: Math.sin(yaw) * forward,
    z: Math.cos(yaw) * forward,
  });
  upper.toWorld.premultiply(new Matrix4().makeTranslation(0, below.widthMm + HAIR, 0));
  const bands = [lower, upper];
  if (over > r) turnOver(bands);
  return bands;
}

/** Turns a stack upside down about the line of sight, so that the larger band carries the smaller. */
function turnOver(bands: readonly PlacedBand[]): void {
  for (const { toWorld } of bands) toWorld.premultiply(new Matrix4().makeRotationZ(Math.PI));
  let lowest = Number.POSITIVE_INFINITY;
  for (const band of bands)
    forEachVertex(band, ({ y }) => {
      lowest = Math.min(lowest, y);
    });
  for (const { toWorld } of bands) toWorld.premultiply(new Matrix4().makeTranslation(0, -lowest, 0));
}

/** Two standing bands, the partner's to the right and a little behind; clear of each other by geometry. */
function placePair(shapes: readonly BuiltShape[]): PlacedBand[] {
  const [front, back] = shapes;
  const yawFront = 54 * DEG;
  const yawBack = 48 * DEG;
  const bearing = 20 * DEG;
  const x = Math.cos(bearing);
  const z = -Math.sin(bearing);
  const apart = footprintSeparation(footprint(front, yawFront), footprint(back, yawBack), x, z, 1.2);
  return [
    placeBand(front, { rest: 'standing', yaw: yawFront, roll: 0, x: (-x * apart) / 2, z: (-z * apart) / 2 }),
    placeBand(back, { rest: 'standing', yaw: yawBack, roll: 0, x: (x * apart) / 2, z: (z * apart) / 2 }),
  ];
}

const VIEWS: Record<ShotName, View> = {
  'three-quarter': {
    azimuth: 0,
    elevation: 24,
    fovY: 16,
    fill: { x: 0.84, y: 0.8, lift: 0.01 },
    place: standing(56),
  },
  front: { azimuth: 0, elevation: 9, fovY: 16, fill: { x: 0.78, y: 0.78, lift: 0.01 }, place: standing(0) },
  'flat-lay': {
    azimuth: 0,
    elevation: 42,
    fovY: 16,
    fill: { x: 0.78, y: 0.78, lift: 0.01 },
    place: (shapes) =>
      shapes.slice(0, 1).map((s) => placeBand(s, { rest: 'lying', yaw: 14 * DEG, roll: 0, x: 0, z: 0 })),
  },
  // edge on and from afar, so that the section's outline stands clear against the ground
  profile: {
    azimuth: 0,
    elevation: 3,
    fovY: 9,
    fill: { x: 0.7, y: 0.78, lift: 0.01 },
    place: standing(90),
  },
  macro: {
    azimuth: 0,
    elevation: 52,
    fovY: 16,
    fill: { x: 0.94, y: 0.8, lift: 0 },
    // letters at the top are shown from the edge at their feet
    place: (shapes) => standing(outsideHeads(shapes[0]) === 'second' ? 208 : 28)(shapes),
    frame: closeUp,
    focus: 'middle',
  },
  // the inscription at the bottom of the bore, over the near edge and upright
  inside: {
    azimuth: 0,
    elevation: 40,
    fovY: 16,
    fill: { x: 0.86, y: 0.8, lift: 0.04 },
    place: (shapes) =>
      shapes.slice(0, 1).map((s) =>
        // seen from the edge at their feet, letters lean away from the camera as on a page
        placeBand(s, {
          rest: 'standing',
          yaw: inscriptionHeads(s) === 'second' ? Math.PI : 0,
          roll: inscriptionAngle(s) - Math.PI,
          x: 0,
          z: 0,
        }),
      ),
    frame: inscription,
    focus: 'middle',
  },
  turntable: {
    azimuth: 0,
    elevation: 20,
    fovY: 16,
    fill: { x: 0.8, y: 0.8, lift: 0.01 },
    place: (shapes, turn) =>
      shapes
        .slice(0, 1)
        .map((s) => placeBand(s, { rest: 'standing', yaw: 56 * DEG + turn, roll: 0, x: 0, z: 0 })),
    // every frame alike: whatever the band sweeps as it turns
    frame: swept,
  },
  pair: { azimuth: 0, elevation: 17, fovY: 18, fill: { x: 0.86, y: 0.8, lift: 0.01 }, place: placePair },
};

/** A pair that lies edge on edge is seen from a little above. */
const STACKED: View = {
  azimuth: 0,
  elevation: 20,
  fovY: 16,
  fill: { x: 0.8, y: 0.8, lift: 0.01 },
  place: stackPair,
};

export interface Composition {
  bands: PlacedBand[];
  direction: CameraDirection;
  fill: FrameFill;
  /** what must be in the frame */
  points: Vector3[];
  focus: 'nearest' | 'middle';
}

/**
 * Poses the bands of a shot and says where its camera looks from.
 * @param turn of a turntable, radians
 * @param stacked a pair that lies edge on edge
 */
export function composeShot(
  view: ShotName,
  shapes: readonly BuiltShape[],
  turn = 0,
  stacked = false,
): Composition {
  const v = stacked ? STACKED : VIEWS[view];
  const bands = v.place(shapes, turn);
  return {
    bands,
    direction: { azimuth: v.azimuth * DEG, elevation: v.elevation * DEG, fovY: v.fovY * DEG },
    fill: v.fill,
    points: v.frame?.(bands) ?? outline(bands),
    focus: v.focus ?? 'nearest',
  };
}
