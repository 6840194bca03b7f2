import { type Place, type Problem, ProblemError, type Severity } from '../problem.ts';
import type { FieldPath } from './yaml-source.ts';

/** Finds the place of a field; `key` asks for its name's place and not its value's. */
export type Locate = (path: FieldPath, key: boolean) => Place | undefined;

export interface Finding {
  code: string;
  path: FieldPath;
  expected: string;
  received: string;
  advice: string;
  severity?: Severity;
  /** point at the field's name */
  key?: boolean;
}

/** `grid.size[2]`; keys that are not plain words are quoted. */
export function pathText(path: FieldPath): string {
  const text = path
    .map((p) => {
      if (typeof p === 'number') return `[${p}]`;
      return /^[\w-]+$/.test(p) ? `.${p}` : `[${JSON.stringify(p)}]`;
    })
    .join('');
  return text.replace(/^\./, '') || '(top)';
}

/** The end of a path tells more than its beginning. */
const MOST_SHOWN = 300;
export const shortened = (text: string) =>
  text.length > MOST_SHOWN ? `…${text.slice(1 - MOST_SHOWN)}` : text;

/** A value as an error message names it. */
export function describe(value: unknown): string {
  if (value === undefined) return 'nothing';
  if (value === null) return 'an empty value';
  if (typeof value === 'string') return JSON.stringify(value.length > 60 ? `${value.slice(0, 57)}…` : value);
  if (Array.isArray(value))
    return value.length === 1 ? 'a list of 1 item' : `a list of ${value.length} items`;
  return typeof value === 'object' ? 'a mapping' : String(value);
}

/** With so many, most come of one cause, and looking on could take for ever. */
export const MOST_PROBLEMS = 500;

/** Collects everything wrong with an input, so that it can be reported at once. */
export class Findings {
  private readonly seen = new Map<string, Problem>();
  private readonly locate: Locate;

  constructor(locate: Locate) {
    this.locate = locate;
  }

  /** @throws ProblemError with all of them once there are `MOST_PROBLEMS` */
  add(finding: Finding, locate: Locate = this.locate): void {
    const { path, key = false, severity = 'error', ...rest } = finding;
    const problem: Problem = { ...rest, severity, path: pathText(path) };
    const place = locate(path, key);
    if (place) problem.place = place;
    this.seen.set(JSON.stringify(problem), problem);
    if (this.seen.size >= MOST_PROBLEMS) throw new ProblemError(this.sorted());
  }

  take(problems: readonly Problem[]): void {
    for (const p of problems) this.seen.set(JSON.stringify(p), p);
  }

  /** Problems that another room found with what the field at `path` names. */
  adopt(problems: readonly Problem[], path: FieldPath): void {
    for (const { code, severity, expected, received, advice } of problems)
      this.add({ code, severity, expected, received, advice, path });
  }

  get errors(): Problem[] {
    return this.sorted().filter((p) => p.severity === 'error');
  }

  get warnings(): Problem[] {
    return this.sorted().filter((p) => p.severity === 'warning');
  }

  /** @throws ProblemError if an error was found; warnings come along */
  throwIfAny(): void {
    if (this.errors.length > 0) throw new ProblemError(this.sorted());
  }

  private sorted(): Problem[] {
    const order = (p: Problem): [string, number, number] => [
      p.place?.file ?? '',
      p.place?.line ?? 0,
      p.place?.column ?? 0,
    ];
    return [...this.seen.values()].sort((a, b) => {
      const [fa, la, ca] = order(a);
      const [fb, lb, cb] = order(b);
      return fa < fb ? -1 : fa > fb ? 1 : la - lb || ca - cb;
    });
  }
}
