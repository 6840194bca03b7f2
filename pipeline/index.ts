/**
 * Bandwright as a library: what the command does, from a program of one's own. Everything else of the package is closed
 * and may change.
 */
import type { RunEvent } from './artefacts/events.ts';
import type { Plan, Sku } from './plan/plan.ts';
import { readPlan as readPlanFrom } from './plan/read-plan.ts';
import type { Problem } from './problem.ts';
import { type CheckResult, checkPlan } from './run/check.ts';
import { draftPlan } from './run/draft.ts';
import { type MakeResult, makeCatalogue as makeFrom } from './run/make.ts';
import { PROVEN } from './run/proven-files.ts';
import { createTracerSession } from './tracer/session.ts';
import type { Tracer } from './tracer/tracer.ts';

export { formatProblem, type Problem, ProblemError } from './problem.ts';
export type { CheckResult, MakeResult, Plan, RunEvent };

/**
 * Reads a config with its template, studios, orders and pictures, and expands its grid.
 * @param file path of a YAML file
 * @throws ProblemError with every problem found, each with file, line and column
 */
export function readPlan(file: string): Promise<{ plan: Plan; warnings: Problem[] }> {
  return readPlanFrom(file, PROVEN);
}

/**
 * Builds every shape and holds it to the rules of the bench. What cannot be built is among the variants with its
 * problems. No pictures, no browser.
 * @param only SKUs to check; all unless given
 */
export function check(plan: Plan, { only }: { only?: (sku: Sku) => boolean } = {}): Promise<CheckResult> {
  return checkPlan(plan, only ?? (() => true));
}

export interface CatalogueOptions {
  /** absolute path of the folder that holds catalogues and the store */
  out: string;
  /** SKUs to make; all unless given */
  only?: (sku: Sku) => boolean;
  /** small, coarse pictures in a catalogue of their own */
  draft?: boolean;
  /** what happens, as it happens */
  onEvent?: (event: RunEvent) => void;
  /** asks the run to end: what is begun is finished and kept, nothing further is begun */
  signal?: AbortSignal;
  /** threads that trace; one per core unless given */
  workers?: number;
  /** wait for another run on the same folder instead of refusing */
  wait?: boolean;
  /** traces in what is given instead of a browser; closed when the catalogue is made */
  openTracer?: () => Promise<Tracer>;
}

/**
 * Makes or completes a catalogue. What cannot be made is left out and named in `failed`; the rest is completed.
 * @throws AbortError when the signal fires, ProblemError when the folder cannot be written or is in use or no browser
 *   is found
 */
export function makeCatalogue(plan: Plan, options: CatalogueOptions): Promise<MakeResult> {
  const { out, only, draft, onEvent, signal, workers, wait, openTracer } = options;
  return makeFrom(draft ? draftPlan(plan) : plan, {
    out,
    only,
    workers,
    wait,
    report: onEvent ?? (() => {}),
    signal: signal ?? new AbortController().signal,
    openTracer: openTracer ?? (() => createTracerSession({ workers })),
  });
}
