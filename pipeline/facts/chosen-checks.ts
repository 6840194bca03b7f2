import type { BenchCheck } from '../band/built-shape.ts';
import type { ChosenFigure } from '../plan/variant.ts';
import { type Amount, inEnglish, phrase } from '../trade/bench-words.ts';

/** What a template lets be chosen, told with its limits: values beyond them were refused when the template was read. */
export function chosenChecks(chosen: readonly ChosenFigure[] = []): BenchCheck[] {
  return chosen.map(({ name, value, from, to }) => {
    const told = {
      limit: phrase('from-to', { from: amountOf(from), to: amountOf(to) }),
      measured: amountOf(value),
      place: phrase('template-choice', { name: { name } }),
    };
    return {
      rule: 'template-limits',
      severity: 'info',
      passed: true,
      limit: inEnglish(told.limit),
      measured: inEnglish(told.measured),
      place: inEnglish(told.place),
      source: 'limits of the template itself',
      told,
    };
  });
}

function amountOf({ value, unit }: ChosenFigure['value']): Amount {
  if (unit === 'mm') return { mm: value };
  if (unit === 'deg') return { degrees: value, digits: 1 };
  return unit === '%' ? { share: value / 100, digits: 1 } : { name: String(value) };
}
