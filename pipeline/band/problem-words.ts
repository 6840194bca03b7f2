import type { Problem } from '../problem.ts';
import { degreesFromTop } from '../trade/degrees.ts';

/** Least height of a seam wall or a softened edge, mm. */
export const LEAST_WALL_MM = 0.1;

/** An angle round the band in words, from over -180° to 180°, as configs and bench sheets have it. */
export function degrees(theta: number): string {
  return `${degreesFromTop(theta).toFixed(1)}°`;
}

/** A length in words: two decimals, a third where it matters. */
export function mm(length: number): string {
  return `${length.toFixed(3).replace(/0$/, '')} mm`;
}

export function problem(
  code: string,
  path: string,
  expected: string,
  received: string,
  advice: string,
): Problem {
  return { code, severity: 'error', path, expected, received, advice };
}

/** Field path of a lane, as a template has it. */
export function pathOf(lane: { name: string }): string {
  return `lanes.${lane.name}`;
}
