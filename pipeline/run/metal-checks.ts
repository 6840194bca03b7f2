import type { BenchCheck } from '../band/built-shape.ts';
import type { BandFacts } from '../publish/catalogue-schema.ts';
import { HALLMARK_LAWS } from '../trade/hallmark.ts';
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
      {
        rule: 'nickel-release',
        severity: 'info',
        passed: false,
        limit: 'EU: at most 0.5 µg Ni/cm² a week from the finished ring, by test (EN 1811)',
        measured: share === undefined ? 'contains nickel' : `${share} % nickel`,
        place: `${name}, ${lanes.join(', ')}; have the ring tested`,
        source: 'REACH annex XVII entry 27: lamez.teg.co.uk/nickel/reach-17-27.htm',
      },
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
      {
        rule: 'hallmark-mass',
        severity: 'info',
        passed: due.length === 0,
        limit: `hallmark due from ${laws.map(({ country, grams }) => `${grams} g in ${country}`).join(', ')}`,
        measured: `${mass.toFixed(2)} g`,
        place: `metal of a band described as ${kind}; other countries differ, ask your assay office`,
        source: HALLMARK_LAWS.map(({ source }) => source).join('; '),
      },
    ];
  });
}
