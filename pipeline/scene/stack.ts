/**
 * A lying band set down on another. Promise: what is returned holds by itself. The upper band touches the lower one on both
 * sides of its centre of mass, which lies over the polygon of the places where they touch; nothing is sunk into anything.
 * Seen from above the bands are alike to left and right, so the upper one leans only towards the camera or away from it.
 */
import { Matrix4, Vector3 } from 'three';
import type { BuiltShape } from '../band/built-shape.ts';
import { forEachVertex, type HullPoint, lowerHull, type PlacedBand, supportAt } from './pose.ts';

/** Room left where they touch, mm: as far as anyone can see they do. */
const HAIR = 0.01;
/** A face counts as level, and two faces as touching, within this, mm; what stands out further keeps bands from lying on it. */
const LEVEL = 0.01;
const TOUCHING = 0.02;
/** How far inside the polygon the centre of mass must lie, mm, so that a nudge does not tip it. Common practice. */
const MARGIN = 0.5;

/** The level part of one of a band's two faces: a ring whose radii go with θ, at half the band's width. */
interface Face {
  shape: BuiltShape;
  /** of the band's z: 1 is the second edge */
  side: 1 | -1;
  /** by even steps of θ */
  inner: number[];
  outer: number[];
}

const STEPS = 96;
const RADII = 5;

/**
 * @param upper lying at its height above the ground, where it is to be set down
 * @param over both lie upside down
 * @returns the upper band on the lower one, or undefined if it would not hold there
 */
export function setDown(upper: PlacedBand, lower: PlacedBand, over: boolean): PlacedBand | undefined {
  const [down, up] = over ? ([1, -1] as const) : ([-1, 1] as const);
  const [sole, top] = [faceOf(upper.shape, down), faceOf(lower.shape, up)];
  if (!sole || !top) return undefined;
  const centre = centreOfMass(upper.shape);
  let toWorld = upper.toWorld.clone();
  // gaps are taken as linear in the lean; a few turns make them so
  for (let turn = 0; turn < 6; turn++) {
    const at = centre.clone().applyMatrix4(toWorld);
    const gaps = gapsBetween(sole, toWorld, top, lower.toWorld);
    const rest = supportAt(lowerHull(gaps.map(({ z, gap }): HullPoint => [z, gap])), at.z);
    if (!rest) return undefined;
    toWorld = leant(toWorld, at, Math.atan(rest.slope), rest.height);
  }
  const touching = gapsBetween(sole, toWorld, top, lower.toWorld).filter(({ gap }) => gap < TOUCHING);
  const { x, z } = centre.clone().applyMatrix4(toWorld);
  if (insideBy(touching, x, z) < MARGIN) return undefined;
  return { shape: upper.shape, toWorld: toWorld.premultiply(new Matrix4().makeTranslation(0, HAIR, 0)) };
}

/** Turned about the level line across the sight through `at`, then lowered. */
function leant(toWorld: Matrix4, at: Vector3, angle: number, by: number): Matrix4 {
  return new Matrix4()
    .makeTranslation(at.x, at.y - by, at.z)
    .multiply(new Matrix4().makeRotationX(angle))
    .multiply(new Matrix4().makeTranslation(-at.x, -at.y, -at.z))
    .multiply(toWorld);
}

function halfWidth({ widthMm, back }: BuiltShape, theta: number): number {
  return (widthMm + (((back?.widthMm ?? widthMm) - widthMm) * (1 - Math.cos(theta))) / 2) / 2;
}

/** Undefined where a stone or claw stands proud of the face, or nothing of it is level. */
function faceOf(shape: BuiltShape, side: 1 | -1): Face | undefined {
  const inner = new Array<number>(STEPS).fill(Number.NaN);
  const outer = new Array<number>(STEPS).fill(Number.NaN);
  let proud = false;
  forEachVertex({ shape, toWorld: new Matrix4() }, ({ x, y, z }) => {
    const theta = Math.atan2(x, y);
    const above = side * z - halfWidth(shape, theta);
    if (above > LEVEL) proud = true;
    if (above < -LEVEL) return;
    const r = Math.hypot(x, y);
    const i = (Math.round((theta / (2 * Math.PI)) * STEPS) + STEPS) % STEPS;
    if (!(inner[i] <= r)) inner[i] = r;
    if (!(outer[i] >= r)) outer[i] = r;
  });
  if (proud || inner.every(Number.isNaN)) return undefined;
  return { shape, side, inner: filled(inner), outer: filled(outer) };
}

/** Coarse meshes leave steps without a vertex: they are as their neighbour before them. */
function filled(radii: readonly number[]): number[] {
  return radii.map((_, i) => {
    let k = i;
    while (Number.isNaN(radii[k])) k = (k + radii.length - 1) % radii.length;
    return radii[k];
  });
}

function at(radii: readonly number[], theta: number): number {
  const t = (theta / (2 * Math.PI) + 1) * STEPS;
  const i = Math.floor(t);
  return radii[i % STEPS] * (i + 1 - t) + radii[(i + 1) % STEPS] * (t - i);
}

/** A place of one face above or below the other one's, and how far it is above, mm. */
interface Gap {
  x: number;
  z: number;
  gap: number;
}

/** Where two faces lie over each other, at the places of both. */
function gapsBetween(sole: Face, soleToWorld: Matrix4, top: Face, topToWorld: Matrix4): Gap[] {
  const gaps: Gap[] = [];
  const gather = (own: Face, toWorld: Matrix4, other: Face, otherToWorld: Matrix4, sign: 1 | -1) => {
    const height = heightsOf(other, otherToWorld);
    for (const { x, y, z } of places(own, toWorld)) {
      const there = height(x, z);
      if (there !== undefined) gaps.push({ x, z, gap: sign * (y - there) });
    }
  };
  gather(sole, soleToWorld, top, topToWorld, 1);
  gather(top, topToWorld, sole, soleToWorld, -1);
  return gaps;
}

function places(face: Face, toWorld: Matrix4): Vector3[] {
  return Array.from({ length: 4 * STEPS * RADII }, (_, k) => {
    const theta = (Math.floor(k / RADII) / (4 * STEPS)) * 2 * Math.PI;
    const [from, to] = [at(face.inner, theta), at(face.outer, theta)];
    const r = from + ((to - from) * (k % RADII)) / (RADII - 1);
    return new Vector3(
      r * Math.sin(theta),
      r * Math.cos(theta),
      face.side * halfWidth(face.shape, theta),
    ).applyMatrix4(toWorld);
  });
}

/** Height of a lying band's face above a place of the ground; undefined beside it. */
function heightsOf({ shape, side, inner, outer }: Face, toWorld: Matrix4) {
  const inverse = toWorld.clone().invert();
  return (x: number, z: number): number | undefined => {
    let height = 0;
    const p = new Vector3();
    const q = new Vector3();
    // the band leans but little: each turn leaves the square of its lean of the error
    for (let turn = 0; turn < 5; turn++) {
      p.set(x, height, z).applyMatrix4(inverse);
      q.set(p.x, p.y, side * halfWidth(shape, Math.atan2(p.x, p.y))).applyMatrix4(toWorld);
      height = q.y;
    }
    const theta = Math.atan2(p.x, p.y);
    const r = Math.hypot(p.x, p.y);
    return r >= at(inner, theta) - 1e-6 && r <= at(outer, theta) + 1e-6 ? height : undefined;
  };
}

/** Of all lanes, as if of one metal: lanes lie beside each other across the width, which shifts nothing along the ground. */
function centreOfMass(shape: BuiltShape): Vector3 {
  const sum = new Vector3();
  let volume = 0;
  const corners = [new Vector3(), new Vector3(), new Vector3()];
  for (const { mesh } of shape.lanes)
    for (let t = 0; t < mesh.indices.length; t += 3) {
      corners.forEach((corner, k) => {
        corner.fromArray(mesh.positions, 3 * mesh.indices[t + k]);
      });
      const [a, b, c] = corners;
      const six = a.dot(b.clone().cross(c));
      volume += six;
      sum.addScaledVector(a.clone().add(b).add(c), six / 4);
    }
  return volume > 0 ? sum.divideScalar(volume) : sum;
}

/** How far a place lies inside the convex hull of others, seen from above; negative outside. */
function insideBy(points: readonly Gap[], x: number, z: number): number {
  const flipped = lowerHull(points.map((p): HullPoint => [-p.x, -p.z])).map(([a, b]): HullPoint => [-a, -b]);
  const hull = [...lowerHull(points.map((p): HullPoint => [p.x, p.z])).slice(0, -1), ...flipped.slice(0, -1)];
  if (hull.length < 3) return Number.NEGATIVE_INFINITY;
  return Math.min(
    ...hull.map(([ax, az], i) => {
      const [bx, bz] = hull[(i + 1) % hull.length];
      return ((bx - ax) * (z - az) - (bz - az) * (x - ax)) / Math.hypot(bx - ax, bz - az);
    }),
  );
}
