import type { BenchCheck } from '../band/built-shape.ts';
import type { BenchRuleName } from '../trade/bench-limits.ts';
import { type CheckWords, inEnglish, phrase } from '../trade/bench-words.ts';
import { HALLMARK_LAWS } from '../trade/hallmark.ts';
import type { BandFacts } from './catalogue-schema.ts';
import { alloyRow } from './looks.ts';

/** What the metals of one band bring with them, as information: nickel, and from which mass hallmarks are asked for. */
export function metalChecks(metals: BandFacts['metals']): BenchCheck[] {
  return [...nickel(metals), ...hallmark(metals)];
}

/** Alloys whose composition names nickel. What a ring releases is measured, not computed. */
function nickel(metals: BandFacts['metals']): BenchCheck[] {
  return metals.flatMap(({ alloy, name, lanes }) => {
    const { composition, cautions } = alloyRow(alloy);
    const share = composition?.Ni;
    if (share === undefined && !cautions.some((text) => text.startsWith('Contains nickel'))) return [];
    return [
      note('nickel-release', false, 'REACH annex XVII entry 27: lamez.teg.co.uk/nickel/reach-17-27.htm', {
        limit: phrase('nickel-limit'),
        measured:
          share === undefined
            ? phrase('contains-nickel')
            : phrase('nickel-share', { share: { share: share / 100, digits: 2 } }),
        place: phrase('have-tested', { metal: { name }, lanes: lanes.map((lane) => ({ name: lane })) }),
      }),
    ];
  });
}

/** All metal of a band counts, whatever its alloys: UK practice, stones excluded. */
function hallmark(metals: BandFacts['metals']): BenchCheck[] {
  const mass = metals.reduce((sum, metal) => sum + metal.massG, 0);
  const kinds = [...new Set(metals.map(({ alloy }) => alloyRow(alloy).metal))];
  return kinds.flatMap((kind) => {
    if (kind === 'none') return [];
    const laws = HALLMARK_LAWS.flatMap(({ country, exemptBelowG }) => {
      const grams = exemptBelowG[kind];
      return grams === undefined ? [] : [{ country, grams }];
    });
    const due = laws.filter(({ grams }) => mass >= grams);
    return [
      note('hallmark-mass', due.length === 0, HALLMARK_LAWS.map(({ source }) => source).join('; '), {
        limit: phrase('hallmark-from', {
          laws: laws.map(({ country, grams }) =>
            phrase(`in-${country}`, { mass: { grams, least: 0, digits: 2 } }),
          ),
        }),
        measured: { grams: mass, least: 2, digits: 2 },
        place: phrase(`as-${kind}`),
      }),
    ];
  });
}

function note(rule: BenchRuleName, passed: boolean, source: string, told: CheckWords): BenchCheck {
  return {
    rule,
    severity: 'info',
    passed,
    limit: inEnglish(told.limit),
    measured: inEnglish(told.measured),
    place: inEnglish(told.place),
    source,
    told,
  };
}
