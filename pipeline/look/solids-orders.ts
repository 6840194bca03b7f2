/** What passes between `SolidsBench` and its threads. */
import type { SolidFacts } from '../facts/solid-facts.ts';
import type { ShapeDesign } from '../plan/design.ts';
import type { Problem } from '../problem.ts';
import type { LimitSettings } from '../trade/bench-limits.ts';

export interface SolidsOrder {
  kind: 'draft' | 'whole';
  id: number;
  design: ShapeDesign;
  limits: LimitSettings;
}

export type SolidsAnswer =
  | { kind: 'made'; id: number; blob: Uint8Array; whole: boolean }
  /** follows the solids of an order for whole ones */
  | { kind: 'facts'; id: number; facts: SolidFacts }
  | { kind: 'refused'; id: number; problems: readonly Problem[] }
  | { kind: 'failed'; id: number; why: string };
