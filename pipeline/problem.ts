/**
 * One error vocabulary for the whole pipeline. This file imports nothing and every room may import it.
 *
 * Every problem says what was expected, where, what was received and what to do about it; all problems
 * of one input are reported together.
 */

/** A place in a text file. Lines and columns count from 1. */
export interface Place {
  file: string;
  line: number;
  column: number;
}

export type Severity = 'error' | 'warning';

/** One thing wrong with an input. `code` is stable and may be matched by scripts. */
export interface Problem {
  /** stable kebab-case name, e.g. `unknown-key`, `lane-too-thin` */
  code: string;
  severity: Severity;
  /** field path such as `grid.size[2]`, or the SKU a variant would have had */
  path: string;
  expected: string;
  received: string;
  /** what the user can do; a full sentence */
  advice: string;
  place?: Place;
}

/** Why there is no result: what a user can mend. */
export interface Refusal {
  problems: Problem[];
}

/**
 * What a step gives that may be refused for reasons a user can mend, where others go on and collect theirs as well.
 * Whoever can't go on without it throws `ProblemError` with all that was collected.
 */
export type Result<T extends object> = T | Refusal;

export function isRefused(result: object): result is Refusal {
  return 'problems' in result;
}

/** The results that are there, and the problems of the others. */
export function sortResults<T extends object>(results: readonly Result<T>[]): { made: T[] } & Refusal {
  return {
    made: results.flatMap((result) => (isRefused(result) ? [] : [result])),
    problems: results.flatMap((result) => (isRefused(result) ? result.problems : [])),
  };
}

/** Problems a user can mend (exit code 2): thrown with everything found, never one at a time. */
export class ProblemError extends Error {
  readonly problems: readonly Problem[];

  constructor(problems: readonly Problem[]) {
    super(problems.map(formatProblem).join('\n'));
    this.name = 'ProblemError';
    this.problems = problems;
  }
}

/** `file:line:column path: expected X but received Y. Advice.` */
export function formatProblem(p: Problem): string {
  const where = p.place ? `${p.place.file}:${p.place.line}:${p.place.column}: ` : '';
  const label = p.severity === 'warning' ? 'warning: ' : '';
  return `${where}${label}${p.path}: expected ${p.expected} but received ${p.received}. ${p.advice} [${p.code}]`;
}
