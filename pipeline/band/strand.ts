import type { ShapeDesign } from '../plan/design.ts';
import type { StrandsDesign } from '../plan/strands-design.ts';
import { isRefused, type Problem, type Result } from '../problem.ts';
import { boreRadius } from './outside.ts';
import { degrees, mm, problem } from './problem-words.ts';
import { bendAt, pointAt, type StrandCurve } from './strand-curve.ts';

/** Wires in the space of a band: their centre lines fill it, less half a wire on every side. */
export interface Strands {
  wireMm: number;
  curves: StrandCurve[];
  /** repeats of the whole pattern round the band: all that there is to look at lies in one */
  repeats: number;
}

/** How often a wire goes up and down while it goes to and fro once. */
const RISES = { twist: 1, braid: 2 } as const;

/** The lane of the first wire: a liner comes before the wires. */
export const firstWire = ({ liner }: Pick<StrandsDesign, 'liner'>) => (liner ? 1 : 0);

/** What wires fill, from the bore or from where they reach into the liner. */
function spaceOf(design: ShapeDesign, { liner, between }: StrandsDesign) {
  const { widthMm, thicknessMm } = design;
  const sunkMm = between.kind === 'joined' ? between.overlapMm : 0;
  const belowMm = liner ? liner.thicknessMm - sunkMm : 0;
  return {
    fromR: boreRadius(design) + belowMm,
    widthMm: widthMm - 2 * (liner?.marginMm ?? 0),
    thicknessMm: thicknessMm - belowMm,
  };
}

/**
 * A twist is a helix of elliptical section about the band's middle circle. A plait of wires is the Lissajous curve
 * z = a cos u, r = b sin 2u (with u = turns · θ, each wire a share of a turn behind the one before): whichever of two wires
 * comes in at a crossing lies over the one that goes out.
 */
function curvesOf(design: ShapeDesign, strands: StrandsDesign, wireMm: number): StrandCurve[] {
  const { fromR, widthMm, thicknessMm } = spaceOf(design, strands);
  const across = (widthMm - wireMm) / 2;
  const radial = (thicknessMm - wireMm) / 2;
  const middle = fromR + thicknessMm / 2;
  const rises = RISES[strands.kind];
  const m = strands.turns;
  const up = strands.hand === 'right' ? 1 : -1;
  const count = design.lanes.length - firstWire(strands);
  return Array.from({ length: count }, (_, k): StrandCurve => {
    const phase = (2 * Math.PI * k) / count;
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

/** Pairs of lanes that run into each other: wires, by how many wires on the one stands, and a liner with each wire. */
export function touchingLanes(design: ShapeDesign, asked: StrandsDesign): [number, number][] {
  const strands = strandsOrProblems(design, asked);
  if (isRefused(strands)) return [];
  const { curves, repeats, wireMm } = strands;
  const first = firstWire(asked);
  const steps = Array.from({ length: Math.floor(curves.length / 2) }, (_, i) => i + 1).filter(
    (step) => leastApart(curves[0], curves[step], repeats).value < wireMm - LEAST_JOIN_MM / 2,
  );
  return curves.flatMap((_, k) => [
    ...(asked.liner ? [[0, first + k] as [number, number]] : []),
    ...steps.map((step): [number, number] => [first + k, first + ((k + step) % curves.length)]),
  ]);
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

/** Thickest wire that the space has room for. */
function roomFor(design: ShapeDesign, strands: StrandsDesign): number {
  const { widthMm, thicknessMm } = spaceOf(design, strands);
  return Math.min(widthMm, thicknessMm);
}

/** The wire with which neighbours run into each other, or stay apart, by what is asked; within 1e-9 mm. */
function fittingWire(design: ShapeDesign, strands: StrandsDesign): number | undefined {
  const { between, turns } = strands;
  const wanted = between.kind === 'joined' ? -between.overlapMm : between.leastMm;
  const air = (wire: number) =>
    leastApartOf({ curves: curvesOf(design, strands, wire), repeats: turns }).value - wire - wanted;
  let [thin, thick] = [LEAST_WIRE_MM, roomFor(design, strands) - 1e-6];
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
  const room = roomFor(design, asked);
  if (wireMm === undefined || wireMm < LEAST_WIRE_MM || wireMm >= room) {
    const { widthMm, thicknessMm } = spaceOf(design, asked);
    const expected = `room for wires of at least ${mm(LEAST_WIRE_MM)} in ${mm(Math.max(0, widthMm))} by ${mm(Math.max(0, thicknessMm))}`;
    const received = wireMm === undefined ? 'less' : `wires of ${mm(wireMm)}`;
    const advice = `Thicken or widen the band, ${asked.liner ? 'make its liner thinner or its margin smaller, ' : ''}or use fewer wires.`;
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
