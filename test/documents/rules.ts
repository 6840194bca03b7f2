import type { BenchCheck } from '../../pipeline/band/built-shape.ts';
import { chosenChecks } from '../../pipeline/facts/chosen-checks.ts';
import { DRESS_RULES } from '../../pipeline/facts/dress-checks.ts';
import { metalChecks } from '../../pipeline/facts/metal-checks.ts';
import { BENCH_RULES } from '../../pipeline/setting/bench-rules.ts';
import { ALLOYS } from '../../pipeline/trade/alloys.ts';
import { BENCH_LIMITS, BENCH_RULE_NAMES, type LimitedRule } from '../../pipeline/trade/bench-limits.ts';
import { cell } from './markdown.ts';
import { RULE_WORDS } from './rule-words.ts';

type Told = Pick<BenchCheck, 'severity' | 'source'>;

/** Rules with how bad it is to break them and where their limits come from. */
function rules(): Map<string, Told> {
  const nickel = ALLOYS.get('white-18-nickel')!;
  const metals = metalChecks([
    { alloy: nickel.id, name: nickel.label, lanes: ['band'], massG: 5 } as Parameters<
      typeof metalChecks
    >[0][number],
  ]);
  const millimetres = (value: number) => ({ value, unit: 'mm' as const });
  const chosen = chosenChecks([
    { name: 'swing', value: millimetres(0.6), from: millimetres(0.3), to: millimetres(0.9) },
  ]);
  return new Map(
    [...BENCH_RULES, ...DRESS_RULES, ...metals, ...chosen].map((r): [string, Told] => [r.rule, r]),
  );
}

const SEVERITY = { error: 'error', warning: 'warning', info: 'note' };

/** @param seen checks of real bands, for the limits that they were held to */
export function rulesTable(seen: readonly BenchCheck[]): string {
  const all = rules();
  const rows = BENCH_RULE_NAMES.map((name) => {
    const told = all.get(name);
    if (!told) throw new Error(`no rule is called ${name}`);
    const limits = [...new Set(seen.filter((c) => c.rule === name).map((c) => c.limit))].sort();
    const own = BENCH_LIMITS.get(name as LimitedRule);
    const { about, cure } = RULE_WORDS[name];
    const limit = own ? `${limits.join('; ')} (yours: ${own.unit === 'mm' ? 'mm' : '%'})` : limits.join('; ');
    return `| \`${name}\` | ${SEVERITY[told.severity]} | ${cell(about)} | ${cell(limit)} | ${cell(cure)} | ${cell(told.source)} |`;
  });
  const head =
    '| rule | severity | what it is about | usual limit | how to cure it | source |\n| --- | --- | --- | --- | --- | --- |';
  return `${head}\n${rows.join('\n')}`;
}
