import type { BenchCheck } from '../band/built-shape.ts';
import type { ShapeDesign } from '../plan/design.ts';
import type { Dress } from '../plan/plan.ts';
import type { BenchRuleName } from '../trade/bench-limits.ts';
import type { CheckWords, Words } from '../trade/bench-words.ts';

/** What a design comes to in its alloys and stones. */
export interface DressView {
  design: ShapeDesign;
  dress: Dress;
  /** names in the reader's language */
  alloy(id: string): Words;
  stone(slot: number): Words;
}

export interface DressFinding extends CheckWords {
  passed: boolean;
  /** where it differs from the rule's */
  severity?: BenchCheck['severity'];
}

export interface DressRule {
  rule: BenchRuleName;
  severity: BenchCheck['severity'];
  source: string;
  measure(view: DressView): DressFinding[];
}
