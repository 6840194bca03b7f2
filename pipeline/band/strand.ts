import type { ShapeDesign } from '../plan/design.ts';
import type { StrandsDesign } from '../plan/strands-design.ts';
import { isRefused, type Problem, type Result } from '../problem.ts';
import { boreRadius } from './outside.ts';
import { degrees, mm, problem } from './problem-words.ts';

type Point = readonly [x: number, y: number, z: number];

/** A wire's centre line by θ, which is also its own parameter, with its derivatives; mm. */
export interface StrandCurve {
  z(theta: number): number;
  r(theta: number): number;
  /** by θ: first and second */
  dz: readonly [(theta: number) => number, (theta: number) => number];
  dr: readonly [(theta: number) => number, (theta: number) => number];
}

/** Wires in the space of a band: their centre lines fill it, less half a wire on every side. */
export interface Strands {
  wireMm: number;
  curves: StrandCurve[];
  /** repeats of the whole pattern round the band: all that there is to look at lies in one */
  repeats: number;
}

/** How often a wire goes up and down while it goes to and fro once. */
const RISES = { twist: 1, braid: 2 } as const;

/**
 * A twist is a helix of elliptical section about the band's middle circle. A plait of wires is the Lissajous curve
 * z = a cos u, r = b sin 2u (with u = turns · θ, each wire a share of a turn behind the one before): whichever of two wires
 * comes in at a crossing lies over the one that goes out.
 */
function curvesOf(design: ShapeDesign, strands: StrandsDesign, wireMm: number): StrandCurve[] {
  const { widthMm, thicknessMm, lanes } = design;
  const across = (widthMm - wireMm) / 2;
  const radial = (thicknessMm - wireMm) / 2;
  const middle = boreRadius(design) + thicknessMm / 2;
  const rises = RISES[strands.kind];
  const m = strands.turns;
  const up = strands.hand === 'right' ? 1 : -1;
  return lanes.map((_, k): StrandCurve => {
    const phase = (2 * Math.PI * k) / lanes.length;
    const u = (theta: number) => m * theta + phase;
    return {
      z: (theta) => across * up * Math.cos(u(theta)),
      r: (theta) => middle + radial * Math.sin(rises * u(theta)),
      dz: [
        (theta) => -across * up * m * Math.sin(u(theta)),
        (theta) => -across * up * m * m * Math.cos(u(theta)),
      ],
      dr: [
        (theta) => radial * rises * m * Math.cos(rises * u(theta)),
        (theta) => -radial * (rises * m) ** 2 * Math.sin(rises * u(theta)),
      ],
    };
  });
}

export function pointAt({ r, z }: StrandCurve, theta: number): Point {
  const radius = r(theta);
  return [radius * Math.sin(theta), radius * Math.cos(theta), z(theta)];
}

/** First and second derivative of the centre line by θ. */
export function derivativesAt(curve: StrandCurve, theta: number): [Point, Point] {
  const [sin, cos] = [Math.sin(theta), Math.cos(theta)];
  const r = curve.r(theta);
  const [r1, r2] = [curve.dr[0](theta), curve.dr[1](theta)];
  return [
    [r1 * sin + r * cos, r1 * cos - r * sin, curve.dz[0](theta)],
    [r2 * sin + 2 * r1 * cos - r * sin, r2 * cos - 2 * r1 * sin - r * cos, curve.dz[1](theta)],
  ];
}

/** Length of the first derivative by θ, and of its cross product with the second: that by the cube of this is the curvature. */
export function bendAt(curve: StrandCurve, theta: number): { speed: number; turning: number } {
  const [d, dd] = derivativesAt(curve, theta);
  const cross = [d[1] * dd[2] - d[2] * dd[1], d[2] * dd[0] - d[0] * dd[2], d[0] * dd[1] - d[1] * dd[0]];
  return { speed: Math.hypot(...d), turning: Math.hypot(...cross) };
}

/** Steps of one repeat in which wires are held against each other; refined from there. */
const STEPS = 96;

/** The nearest two of the points at every step of one repeat; wires are solved by dozens of these, so each point is found once. */
function nearestOfSteps(a: StrandCurve, b: StrandCurve, step: number) {
  // farther round than half a repeat the other comes no nearer than it does within
  const reach = STEPS / 2;
  const others = Array.from({ length: STEPS + 2 * reach }, (_, k) => pointAt(b, step * (k - reach)));
  let best = { value: Number.POSITIVE_INFINITY, theta: 0, other: 0 };
  for (let i = 0; i < STEPS; i++) {
    const [x, y, z] = pointAt(a, step * i);
    for (let k = i; k <= i + 2 * reach; k++) {
      const [ox, oy, oz] = others[k];
      const value = (x - ox) ** 2 + (y - oy) ** 2 + (z - oz) ** 2;
      if (value < best.value) best = { value, theta: step * i, other: step * (k - reach) };
    }
  }
  return { ...best, value: Math.sqrt(best.value) };
}

/** Least distance of two centre lines, and where on the first. */
function leastApart(a: StrandCurve, b: StrandCurve, repeats: number): { value: number; theta: number } {
  const span = (2 * Math.PI) / repeats;
  let best = nearestOfSteps(a, b, span / STEPS);
  const apart = (s: number, t: number) => {
    const [p, q] = [pointAt(a, s), pointAt(b, t)];
    return Math.hypot(p[0] - q[0], p[1] - q[1], p[2] - q[2]);
  };
  let step = span / STEPS;
  for (let round = 0; round < 40; round++) {
    let moved = false;
    for (const [ds, dt] of [
      [step, 0],
      [-step, 0],
      [0, step],
      [0, -step],
      [step, step],
      [-step, -step],
      [step, -step],
      [-step, step],
    ]) {
      const value = apart(best.theta + ds, best.other + dt);
      if (value < best.value - 1e-15) {
        best = { value, theta: best.theta + ds, other: best.other + dt };
        moved = true;
      }
    }
    if (!moved) step /= 2;
  }
  return best;
}

/**
 * The least distance of any two centre lines: every wire is the first one turned about the finger, so that those beside it
 * stand for all pairs.
 */
export function leastApartOf({ curves, repeats }: Pick<Strands, 'curves' | 'repeats'>) {
  const [first, ...others] = curves;
  const pairs = others
    .slice(0, Math.floor(curves.length / 2))
    .map((other) => leastApart(first, other, repeats));
  return pairs.reduce((x, y) => (y.value < x.value ? y : x));
}

/** How many wires on, and no more than half round, the ones stand that a wire runs into. */
export function touchingWires({ curves, repeats, wireMm }: Strands): number[] {
  const steps = Array.from({ length: Math.floor(curves.length / 2) }, (_, i) => i + 1);
  return steps.filter(
    (step) => leastApart(curves[0], curves[step], repeats).value < wireMm - LEAST_JOIN_MM / 2,
  );
}

/** Least radius of curvature of a centre line, and where. */
function tightestBend(curve: StrandCurve, repeats: number): { radius: number; theta: number } {
  let best = { radius: Number.POSITIVE_INFINITY, theta: 0 };
  for (let i = 0; i < 4 * STEPS; i++) {
    const theta = (2 * Math.PI * i) / (4 * STEPS * repeats);
    const { speed, turning } = bendAt(curve, theta);
    const radius = speed ** 3 / turning;
    if (radius < best.radius) best = { radius, theta };
  }
  return best;
}

/** Thinnest wire that is drawn or cast, mm: cast walls from 0.4 mm (morrisandwatson.com/casting/cad-design-guidelines). */
const LEAST_WIRE_MM = 0.4;

/** The wire with which neighbours run into each other, or stay apart, by what is asked; within 1e-9 mm. */
function fittingWire(design: ShapeDesign, strands: StrandsDesign): number | undefined {
  const { between, turns } = strands;
  const wanted = between.kind === 'joined' ? -between.overlapMm : between.leastMm;
  const air = (wire: number) =>
    leastApartOf({ curves: curvesOf(design, strands, wire), repeats: turns }).value - wire - wanted;
  let [thin, thick] = [LEAST_WIRE_MM, Math.min(design.widthMm, design.thicknessMm) - 1e-6];
  if (!(thick > thin) || air(thin) < 0) return undefined;
  if (air(thick) > 0) return thick;
  for (let i = 0; i < 34; i++) {
    const half = (thin + thick) / 2;
    if (air(half) > 0) thin = half;
    else thick = half;
  }
  return (thin + thick) / 2;
}

const SOLVED = new WeakMap<ShapeDesign, Result<Strands>>();

/** The wires of a design that has some, or what is wrong with them. */
export function strandsOrProblems(design: ShapeDesign, asked: StrandsDesign): Result<Strands> {
  // asked for by drawings, checks and solids alike
  const solved = SOLVED.get(design) ?? solve(design, asked);
  SOLVED.set(design, solved);
  return solved;
}

/** The wires of a design that is known to be sound; none of one that has lanes side by side. */
export function strandsOf(design: ShapeDesign): Strands | undefined {
  if (!design.strands) return undefined;
  const strands = strandsOrProblems(design, design.strands);
  return isRefused(strands) ? undefined : strands;
}

function solve(design: ShapeDesign, asked: StrandsDesign): Result<Strands> {
  const wireMm = asked.wireMm ?? fittingWire(design, asked);
  const room = Math.min(design.widthMm, design.thicknessMm);
  if (wireMm === undefined || wireMm < LEAST_WIRE_MM || wireMm >= room) {
    const expected = `room for wires of at least ${mm(LEAST_WIRE_MM)} in ${mm(design.widthMm)} by ${mm(design.thicknessMm)}`;
    const received = wireMm === undefined ? 'less' : `wires of ${mm(wireMm)}`;
    const advice = 'Thicken or widen the band, or use fewer wires.';
    return { problems: [problem('strands-no-room', 'strands', expected, received, advice)] };
  }
  const strands: Strands = { wireMm, curves: curvesOf(design, asked, wireMm), repeats: asked.turns };
  const problems = [...bendProblems(strands), ...airProblems(strands, asked.between)];
  return problems.length > 0 ? { problems } : strands;
}

function bendProblems({ wireMm, curves, repeats }: Strands): Problem[] {
  const bend = tightestBend(curves[0], repeats);
  const tight = bend.radius <= wireMm / 2 + 1e-9;
  if (!tight) return [];
  const expected = `bends of more than half a wire (${mm(wireMm / 2)})`;
  const received = `${mm(bend.radius)} at θ = ${degrees(bend.theta)}`;
  return [problem('strands-bend', 'strands.turns', expected, received, 'Use fewer turns or thinner wires.')];
}

/** Wires that touch, stay apart or merge where something else is asked of them. */
function airProblems(strands: Strands, between: StrandsDesign['between']): Problem[] {
  const { wireMm } = strands;
  const found: Problem[] = [];
  const nearest = leastApartOf(strands);
  const air = nearest.value - wireMm;
  const where = `at θ = ${degrees(nearest.theta)}`;
  if (between.kind === 'clear' && air < between.leastMm - 1e-6) {
    const expected = `${mm(between.leastMm)} of air between the wires`;
    const received = `${air > 0 ? mm(air) : 'none'} ${where}`;
    found.push(
      problem(
        'strands-touch',
        'strands.clearance',
        expected,
        received,
        'Use thinner wires, a thicker band or fewer turns.',
      ),
    );
  }
  if (between.kind === 'joined' && air > -LEAST_JOIN_MM) {
    const expected = `wires that run into each other by at least ${mm(LEAST_JOIN_MM)}`;
    const received = `${air > 0 ? `${mm(air)} of air` : mm(-air)} ${where}`;
    found.push(
      problem(
        'strands-apart',
        'strands.wire',
        expected,
        received,
        'Use thicker wires or a thinner band, or ask for a clearance.',
      ),
    );
  }
  if (between.kind === 'joined' && air < -MOST_JOIN_SHARE * wireMm) {
    const expected = `wires that run into each other by at most ${mm(MOST_JOIN_SHARE * wireMm)}`;
    found.push(
      problem(
        'strands-merge',
        'strands.wire',
        expected,
        `${mm(-air)} ${where}`,
        'Use thinner wires or a thicker band.',
      ),
    );
  }
  return found;
}

/** Overlap that still joins in casting and does not break, mm; common practice. */
const LEAST_JOIN_MM = 0.02;
/** Deeper in each other they are wires no more; common practice. */
const MOST_JOIN_SHARE = 0.5;

/** Length of a wire's centre line, mm, by Simpson's rule. */
export function strandLength(curve: StrandCurve, repeats: number): number {
  const parts = 256 * repeats;
  const speed = (theta: number) => Math.hypot(...derivativesAt(curve, theta)[0]);
  let sum = 0;
  for (let i = 0; i < parts; i++) {
    const [a, b] = [i, i + 1].map((k) => (2 * Math.PI * k) / parts);
    sum += ((b - a) / 6) * (speed(a) + 4 * speed((a + b) / 2) + speed(b));
  }
  return sum;
}
