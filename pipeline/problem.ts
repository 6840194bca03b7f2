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
