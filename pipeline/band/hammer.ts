import type { HammerDesign } from '../plan/design.ts';
import { type Lane, surveyAngles } from './lane.ts';
import { midRadius, radiusAt } from './profile.ts';
import { outerSpan, runningOut, type SurfaceField } from './surface-field.ts';

/** One blow of a domed hammer face: a spherical dent, deepest at its middle. */
export interface Blow {
  theta: number;
  z: number;
  /** its middle on the lane's outer surface: along θ = 90°, along θ = 0, along z; mm */
  point: readonly [number, number, number];
  depthMm: number;
  /** radius of the dent, relative to the surface it is struck into; mm */
  radiusMm: number;
}

/** Least distance of two blows, as a share of a mark's diameter: marks overlap and cover all but a few corners. */
const SPACING = 0.62;
/** Blows differ in strength by up to this share either way (common practice: no two alike). */
const UNEVEN = 0.25;
/** The deepest a surface gets, as a share of the nominal depth. */
export const DEEPEST_BLOW = 1 + UNEVEN + 0.1;
/** Width of the ridge left between two marks, rounded by polishing, mm (common practice). */
const RIDGE_MM = 0.09;
/** Darts in a row that find no room before a lane counts as full. */
const PATIENCE = 600;

/** Longest mesh edge on a hammered surface, mm. */
export function hammerStep({ facetMm }: HammerDesign): number {
  return facetMm / 16;
}

/** Radius of the sphere whose cap has a mark's diameter and depth: a²/8h + h/2. */
export function dentRadius(facetMm: number, depthMm: number): number {
  return (facetMm * facetMm) / (8 * depthMm) + depthMm / 2;
}

/**
 * Blows spread over a lane like a planisher's: at random, none nearer than the spacing to another, until no room is
 * left (dart throwing, Cook 1986, "Stochastic sampling in computer graphics"). The same seed gives the same blows.
 */
export function spreadBlows(lane: Lane, hammer: HammerDesign): Blow[] {
  const random = numbersFrom(hammer.seed);
  const spans = surveyAngles(lane).map((theta) => outerSpan(lane, theta));
  // blows beside the lane reach into it
  const reach = hammer.facetMm / 2;
  const low = Math.min(...spans.map(([from]) => from)) - reach;
  const high = Math.max(...spans.map(([, to]) => to)) + reach;
  const least = (SPACING * hammer.facetMm) ** 2;
  const blows: Blow[] = [];
  for (let misses = 0; misses < PATIENCE; ) {
    const theta = 2 * Math.PI * random();
    const z = low + (high - low) * random();
    const strength = 1 + UNEVEN * (2 * random() - 1);
    const [from, to] = outerSpan(lane, theta);
    if (z < from - reach || z > to + reach) continue;
    const point = pointAt(lane, theta, z);
    if (blows.some((blow) => squared(blow.point, point) < least)) {
      misses++;
      continue;
    }
    misses = 0;
    const depthMm = hammer.depthMm * strength;
    blows.push({ theta, z, point, depthMm, radiusMm: dentRadius(hammer.facetMm, hammer.depthMm) });
  }
  return blows;
}

/**
 * The surface that all blows leave: the lowest of their dents, with ridges rounded by a soft minimum
 * −k·ln(1 + Σ exp(−hᵢ/k)), hᵢ = d²/2ρ − depth with d the distance from the blow's middle.
 */
export function hammerField(lane: Lane, hammer: HammerDesign): SurfaceField {
  const blows = spreadBlows(lane, hammer);
  const cells = binned(blows, lane, hammer);
  // the slope changes by about 6·depth/diameter from one mark to the next; over the ridge's width that is 4k
  const k = (1.5 * RIDGE_MM * hammer.depthMm) / hammer.facetMm;
  return runningOut(lane, (theta, z) => {
    const here = pointAt(lane, theta, z);
    let sum = 1;
    for (const blow of cells(theta)) {
      sum += Math.exp((blow.depthMm - squared(blow.point, here) / (2 * blow.radiusMm)) / k);
    }
    return -k * Math.log(sum);
  });
}

/** The blows that can matter at θ, from sectors a little wider than a mark. */
function binned(blows: Blow[], lane: Lane, hammer: HammerDesign): (theta: number) => Blow[] {
  const sectors = Math.max(3, Math.floor((2 * Math.PI * midRadius(lane.bore)) / (1.5 * hammer.facetMm)));
  const sectorOf = (theta: number) => {
    const turn = theta / (2 * Math.PI);
    return Math.floor((turn - Math.floor(turn)) * sectors) % sectors;
  };
  const near: Blow[][] = Array.from({ length: sectors }, () => []);
  for (const blow of blows) {
    for (const side of [-1, 0, 1]) near[(sectorOf(blow.theta) + side + sectors) % sectors].push(blow);
  }
  return (theta) => near[sectorOf(theta)];
}

function pointAt(lane: Lane, theta: number, z: number): [number, number, number] {
  const r = radiusAt(lane.outer(theta), z);
  return [r * Math.sin(theta), r * Math.cos(theta), z];
}

function squared(a: readonly [number, number, number], b: readonly [number, number, number]): number {
  return (a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2 + (a[2] - b[2]) ** 2;
}

/** Repeatable numbers in [0, 1): mulberry32, public domain. */
function numbersFrom(seed: number): () => number {
  let a = seed >>> 0;
  return () => {
    a = (a + 0x6d2b79f5) >>> 0;
    let t = Math.imul(a ^ (a >>> 15), 1 | a);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}
