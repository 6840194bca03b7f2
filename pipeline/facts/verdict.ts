/** What bench checks come to: errors and warnings fail, notes are notes, and a band that fails an error is held back. */
import type { BandFacts } from './catalogue-schema.ts';

type Check = Pick<BandFacts['checks'][number], 'rule' | 'severity' | 'passed' | 'waived'>;

export type CheckState = 'passed' | 'note' | 'waived' | 'failed';

export function checkState({ passed, severity, waived }: Omit<Check, 'rule'>): CheckState {
  if (passed) return 'passed';
  if (waived !== undefined) return 'waived';
  return severity === 'info' ? 'note' : 'failed';
}

/** Rules of a band, each counted once however many places it looks at; notes are no part of it. */
export interface Verdict {
  judged: number;
  failed: string[];
  waived: string[];
}

export function verdictOf(checks: readonly Check[]): Verdict {
  const judged = checks.filter((c) => c.severity !== 'info');
  const rulesThat = (are: (c: Check) => boolean) => [...new Set(judged.filter(are).map((c) => c.rule))];
  return {
    judged: rulesThat(() => true).length,
    failed: rulesThat((c) => checkState(c) === 'failed'),
    waived: rulesThat((c) => checkState(c) === 'waived'),
  };
}

/**
 * Rules whose failing as errors, unwaived, holds a variant or pair back from feed, structured data, prices and proofs;
 * none for what may be offered.
 */
export function heldBy(bands: readonly { checks: readonly Check[] }[]): string[] {
  const errors = bands.flatMap((b) => b.checks.filter((c) => c.severity === 'error'));
  return verdictOf(errors).failed;
}

/** For people who run the program. */
export function heldWording(rules: readonly string[]): string {
  return `held back by ${rules.length === 1 ? 'the bench error' : 'bench errors'} ${rules.join(', ')}`;
}
