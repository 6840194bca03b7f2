import { BENCH_RULE_NAMES, type BenchRuleName } from '../trade/bench-limits.ts';
import type { Axis } from './axis.ts';
import type { Config } from './config-schema.ts';
import type { Findings } from './findings.ts';
import { type GridCell, type Matcher, readMatch } from './match.ts';
import type { Variant } from './plan.ts';

/** A bench rule that may fail where the matcher says so. */
export interface Waiver {
  rule: BenchRuleName;
  reason: string;
  matches: Matcher;
}

/** Waivers of the config; one whose axes or values do not exist is reported and left out. */
export function readWaivers(config: Config, axes: readonly Axis[], findings: Findings): Waiver[] {
  return BENCH_RULE_NAMES.flatMap((rule) => {
    const written = config.bench.waive[rule];
    if (written === undefined) return [];
    if (typeof written === 'string') return [{ rule, reason: written, matches: () => true }];
    const path = ['bench', 'waive', rule, 'when'];
    const matches = written.when ? readMatch(written.when, axes, path, findings) : () => true;
    return matches ? [{ rule, reason: written.reason, matches }] : [];
  });
}

/** The waivers in force for one cell of the grid, ready to be spread into a variant. */
export function waiversOf(cell: GridCell, waivers: readonly Waiver[]): Pick<Variant, 'waivers'> {
  const own = waivers.filter(({ matches }) => matches(cell));
  return own.length === 0 ? {} : { waivers: Object.fromEntries(own.map((w) => [w.rule, w.reason])) };
}
