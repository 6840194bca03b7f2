import type { BenchCheck } from '../band/built-shape.ts';
import type { LimitedRule } from '../trade/bench-limits.ts';
import { inEnglish, phrase } from '../trade/bench-words.ts';
import { BAND_RULES } from './band-rules.ts';
import type { BenchRule, BenchView, RuleFinding } from './bench-rule.ts';
import { CHANNEL_RULES } from './channel-rules.ts';
import { CLAW_RULES } from './claw-rules.ts';
import { COLLAR_RULES } from './collar-rules.ts';
import { FLUSH_RULES } from './flush-rules.ts';
import { GAP_RULES } from './gap-rules.ts';
import { GRAIN_RULES } from './grain-rules.ts';
import { LANE_RULES } from './lane-rules.ts';
import { MARK_RULES } from './mark-rules.ts';
import type { WholeRow } from './row-plan.ts';
import { STONE_RULES } from './stone-rules.ts';
import { STRAND_RULES } from './strand-rules.ts';

export const BENCH_RULES: readonly BenchRule[] = [
  ...BAND_RULES,
  ...GAP_RULES,
  ...LANE_RULES,
  ...STONE_RULES,
  ...CLAW_RULES,
  ...CHANNEL_RULES,
  ...FLUSH_RULES,
  ...COLLAR_RULES,
  ...GRAIN_RULES,
  ...MARK_RULES,
  ...STRAND_RULES,
];

/** Of wires over and under each other most rules have nothing to measure. */
const ON_STRANDS: ReadonlySet<string> = new Set([
  ...STRAND_RULES.map(({ rule }) => rule),
  'band-width',
  'overall-thickness',
]);

/**
 * Runs every rule over a shape. Rules report; they never stop a build. A limit of the config is named as such, with
 * the usual one and its source beside it.
 */
export function benchChecks(view: BenchView, rules: readonly BenchRule[] = BENCH_RULES): BenchCheck[] {
  const fit = view.design.strands ? rules.filter(({ rule }) => ON_STRANDS.has(rule)) : rules;
  return fit.flatMap((rule) =>
    findingsOf(rule, view).map(({ passed, limit, measured, place, severity }): BenchCheck => {
      const own = view.limits?.[rule.rule as LimitedRule] !== undefined;
      return {
        rule: rule.rule,
        severity: severity ?? rule.severity,
        source: own ? `limit of the config; usual: ${rule.source}` : rule.source,
        passed,
        limit: inEnglish(limit),
        measured: inEnglish(measured),
        place: inEnglish(place),
        told: { limit, measured, place, ...(own ? { ownLimit: true } : {}) },
      };
    }),
  );
}

function findingsOf(rule: BenchRule, view: BenchView): RuleFinding[] {
  if ('measure' in rule) return withUsual(rule, view, (v) => rule.measure(v));
  return view.rows.flatMap((row) =>
    'measureRow' in rule
      ? withUsual(rule, view, (v) => rule.measureRow(row, v))
      : worstOfSets(row, (set) => withUsual(rule, view, (v) => rule.measureSet(set, v))),
  );
}

/** Beside a limit of the config stands the usual one: the same measured again without it. */
function withUsual(
  { rule }: BenchRule,
  view: BenchView,
  measure: (view: BenchView) => RuleFinding[],
): RuleFinding[] {
  const found = measure(view);
  const { [rule as LimitedRule]: own, ...others } = view.limits ?? {};
  if (own === undefined) return found;
  const usual = measure({ ...view, limits: others });
  return found.map((finding, i) =>
    inEnglish(finding.limit) === inEnglish(usual[i].limit)
      ? finding
      : { ...finding, limit: phrase('own-limit', { limit: finding.limit, usual: usual[i].limit }) },
  );
}

/** Of a row of many sizes only the size that comes nearest to breaking a rule is told. */
function worstOfSets(
  row: WholeRow,
  measure: (set: WholeRow['sets'][number]) => RuleFinding[],
): RuleFinding[] {
  const worst: RuleFinding[] = [];
  for (const set of row.sets) {
    measure(set).forEach((finding, i) => {
      if (!worst[i] || marginOf(finding) < marginOf(worst[i])) worst[i] = finding;
    });
  }
  return worst;
}

const marginOf = ({ margin, passed }: RuleFinding) => margin ?? (passed ? 0 : Number.NEGATIVE_INFINITY);
