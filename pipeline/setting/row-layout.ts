import type { Coverage } from '../plan/design.ts';
import type { RingCurve } from './row-curve.ts';
import { distance } from './vec.ts';

export interface RowLayout {
  /** increasing θ of the stones' centres */
  angles: number[];
  /** distance between neighbouring centres, the same for all but in a list of angles, where it is the least; mm; 0 for a single stone */
  chord: number;
  /** the last stone is the first one's neighbour */
  closed: boolean;
}

/** Coverages whose places follow from a pitch. */
export type Span = Exclude<Coverage, { kind: 'angles' }>;

const TURN = 2 * Math.PI;

/**
 * The largest number of stones whose neighbouring centres are at least `pitch` apart, along a closed curve or an
 * arc of it. For a circle of radius r it is ⌊π / asin(pitch / 2r)⌋.
 */
export function largestCount(curve: RingCurve, pitch: number, coverage: Span, diameter: number): number {
  const { from, to, closed } = rowSpan(curve, coverage, diameter);
  if (to < from) return 0;
  const limit = to + 1e-9;
  let steps = 0;
  for (let theta = from; ; steps++) {
    theta = stepChord(curve, theta, pitch);
    if (!(theta <= limit)) break;
  }
  return closed ? steps : steps + 1;
}

/**
 * Places `count` stones at equal chords, to 1e-9 mm. A full row is spread round the whole band from its top. An open
 * row keeps the pitch, so that shared claws reach, and is centred at the top; the arc is the most it may take.
 * Undefined if the curve has no such spread.
 */
export function spreadRow(
  curve: RingCurve,
  count: number,
  pitch: number,
  coverage: Span,
  diameter: number,
): RowLayout | undefined {
  const { from, to, closed } = rowSpan(curve, coverage, diameter);
  if (closed) return spreadRound(curve, count, from, to);
  if (count === 1) return { angles: [0], chord: 0, closed };
  const lopsided = (start: number) => walk(curve, start, pitch, count - 1).at(-1)! + start;
  const start = bracketedRoot(lopsided, -Math.PI, 0);
  return start === undefined
    ? undefined
    : { angles: walk(curve, start, pitch, count - 1), chord: pitch, closed };
}

function spreadRound(curve: RingCurve, count: number, from: number, to: number): RowLayout | undefined {
  if (count < 3) return undefined;
  const overshoot = (chord: number) => walk(curve, from, chord, count).at(-1)! - to;
  // a chord never exceeds its arc, so the curve's length over the steps bounds the chord from above
  const most = (arcLength(curve, from, to) / count) * (1 + 1e-6);
  const chord = bracketedRoot(overshoot, 0.5 * most, most);
  if (chord === undefined) return undefined;
  return { angles: walk(curve, from, chord, count).slice(0, -1), chord, closed: true };
}

/** Stones at given angles, in order from −180° to 180°. */
export function placeAtAngles(curve: RingCurve, anglesRad: readonly number[]): RowLayout {
  const angles = anglesRad.map((theta) => theta - TURN * Math.ceil(theta / TURN - 0.5)).sort((a, b) => a - b);
  const next = [...angles.slice(1), angles[0]];
  const chords = angles.map((theta, i) => distance(curve(theta), curve(next[i])));
  return { angles, chord: angles.length > 1 ? Math.min(...chords) : 0, closed: false };
}

/** θ of the first and last centre. A closed row ends where it began. */
function rowSpan(curve: RingCurve, coverage: Span, diameter: number) {
  if (coverage.kind === 'full') return { from: 0, to: TURN, closed: true };
  const end = (side: 1 | -1) => {
    const [x, y] = curve((side * coverage.angleRad) / 2);
    return side * (coverage.angleRad / 2 - Math.asin(Math.min(1, diameter / 2 / Math.hypot(x, y))));
  };
  return { from: end(-1), to: end(1), closed: false };
}

function walk(curve: RingCurve, from: number, chord: number, steps: number): number[] {
  const angles = [from];
  for (let i = 0; i < steps; i++) angles.push(stepChord(curve, angles[i], chord));
  return angles;
}

/** The first θ beyond `from` whose point is `chord` away from `start`, the point of `from`; NaN if there is none. */
export function stepChord(curve: RingCurve, from: number, chord: number, start = curve(from)): number {
  const reach = (theta: number) => distance(curve(theta), start) - chord;
  const stride = chord / Math.hypot(start[0], start[1]) / 8;
  let near = from;
  for (let i = 0; i < 4096 && near < from + TURN; i++) {
    const far = near + stride;
    if (reach(far) >= 0) return bracketedRoot(reach, near, far) ?? Number.NaN;
    near = far;
  }
  return Number.NaN;
}

function arcLength(curve: RingCurve, from: number, to: number): number {
  const parts = 2048;
  let sum = 0;
  let before = curve(from);
  for (let i = 1; i <= parts; i++) {
    const here = curve(from + ((to - from) * i) / parts);
    sum += distance(before, here);
    before = here;
  }
  return sum;
}

/** Root of an increasing function on [low, high] by false position with halved ends (Illinois); to 1e-13. */
export function bracketedRoot(f: (x: number) => number, low: number, high: number): number | undefined {
  let fLow = f(low);
  let fHigh = f(high);
  if (fLow === 0) return low;
  if (fHigh === 0) return high;
  if (!(fLow < 0 && fHigh > 0)) return undefined;
  let kept: 'low' | 'high' | undefined;
  for (let i = 0; i < 200; i++) {
    const x = (low * fHigh - high * fLow) / (fHigh - fLow);
    const fx = f(x);
    if (fx === 0 || high - low < 1e-13 || Math.abs(fx) < 1e-13) return x;
    if (fx < 0) {
      low = x;
      fLow = fx;
      if (kept === 'high') fHigh /= 2;
      kept = 'high';
    } else {
      high = x;
      fHigh = fx;
      if (kept === 'low') fLow /= 2;
      kept = 'low';
    }
  }
  return (low + high) / 2;
}
