import { Matrix4 } from 'three';
import type { BuiltShape } from '../band/built-shape.ts';
import { type PlacedBand, placeBand } from './pose.ts';
import { setDown } from './stack.ts';

const DEG = Math.PI / 180;

/** Between bands that stand or lie beside each other, mm. */
const CLEARANCE = 1.2;

function outerRadius(shape: BuiltShape): number {
  // stones and claws may stand proud of the band; half a millimetre clears both
  const thickness = Math.max(shape.thicknessMm, shape.back?.thicknessMm ?? 0, shape.highestMm ?? 0);
  return shape.innerDiameterMm / 2 + thickness + (shape.rows.length > 0 ? 0.5 : 0);
}

/** A standing band seen from above: a rectangle of half-sizes (a, b), its long side turned by yaw. */
interface Footprint {
  a: number;
  b: number;
  yaw: number;
}

function footprint(shape: BuiltShape, yaw: number): Footprint {
  const { outline, widthMm, back } = shape;
  const half = Math.max(widthMm, back?.widthMm ?? 0) / 2;
  const b = outline ? Math.max(-outline.fromZMm, outline.toZMm) : half;
  return { a: outerRadius(shape), b, yaw };
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

/**
 * Two lying bands with their tops (θ = 0) towards the camera: edge on edge, the first one's far edge against the other's
 * first, the one with the larger outside below and both flush at the top, so that seams which mirror each other or run on
 * are seen to do so there. Where that would not hold, as with a small band that drops into a wide one, or where edges are
 * not level, they lie beside each other.
 */
export function layPair(shapes: readonly BuiltShape[]): PlacedBand[] {
  const stack = shapes.some(({ outline }) => outline) ? undefined : stackPair(shapes);
  return stack ? turned(stack) : layBeside(shapes);
}

function turned(bands: PlacedBand[]): PlacedBand[] {
  for (const { toWorld } of bands) toWorld.premultiply(new Matrix4().makeRotationY(14 * DEG));
  return bands;
}

function stackPair([first, other]: readonly BuiltShape[]): PlacedBand[] | undefined {
  const reach = (shape: BuiltShape) => shape.innerDiameterMm / 2 + shape.thicknessMm;
  // the stack is turned over where the second is the larger
  const over = reach(other) > reach(first);
  const [below, above] = over ? [other, first] : [first, other];
  const lower = placeBand(below, { rest: 'lying', over, yaw: 0, roll: 0, x: 0, z: 0 });
  const z = reach(below) - reach(above);
  const upper = setDown(placeBand(above, { rest: 'lying', over, yaw: 0, roll: 0, x: 0, z }), lower, over);
  return upper && (over ? [upper, lower] : [lower, upper]);
}

/** Two lying bands that make no stack: their tops on one line across the sight. */
export function layBeside(shapes: readonly BuiltShape[]): PlacedBand[] {
  const [a, b] = shapes.map(outerRadius);
  const apart = Math.sqrt((a + b + CLEARANCE) ** 2 - (a - b) ** 2);
  const lying = shapes
    .slice(0, 2)
    .map((shape, i) =>
      placeBand(shape, { rest: 'lying', yaw: 0, roll: 0, x: (i - 0.5) * apart, z: i === 0 ? -a : -b }),
    );
  return turned(lying);
}

/** Two standing bands, the partner's to the right and a little behind; clear of each other by geometry. */
export function standPair(shapes: readonly BuiltShape[]): PlacedBand[] {
  const [front, back] = shapes;
  const yawFront = 54 * DEG;
  const yawBack = 48 * DEG;
  const bearing = 20 * DEG;
  const x = Math.cos(bearing);
  const z = -Math.sin(bearing);
  const apart = footprintSeparation(footprint(front, yawFront), footprint(back, yawBack), x, z, CLEARANCE);
  return [
    placeBand(front, { rest: 'standing', yaw: yawFront, roll: 0, x: (-x * apart) / 2, z: (-z * apart) / 2 }),
    placeBand(back, { rest: 'standing', yaw: yawBack, roll: 0, x: (x * apart) / 2, z: (z * apart) / 2 }),
  ];
}
