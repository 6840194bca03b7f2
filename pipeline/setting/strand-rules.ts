import { leastApartOf, strandsOf } from '../band/strand.ts';
import { phrase } from '../trade/bench-words.ts';
import { atLeast, type BandRule, CAST_SOURCE, FILE_SOURCE, limitOf } from './bench-rule.ts';

const strandWire: BandRule = {
  rule: 'strand-wire',
  severity: 'warning',
  source: `surfaces from 0.8 mm, of which filing and polishing take some: ${FILE_SOURCE}; thinner wires wear through and bend: common practice`,
  measure: (view) => {
    const strands = strandsOf(view.design);
    if (!strands) return [];
    return [atLeast(limitOf(view, 'strand-wire', 0.8), strands.wireMm, phrase('strands'))];
  },
};

const linerWall: BandRule = {
  rule: 'liner-wall',
  severity: 'warning',
  source: `surfaces from 0.8 mm, of which filing and polishing take some: ${FILE_SOURCE}; thinner liners under wires lose their roundness: common practice`,
  measure: (view) => {
    const { liner } = view.design.strands ?? {};
    return liner ? [atLeast(limitOf(view, 'liner-wall', 0.8), liner.thicknessMm, phrase('liner'))] : [];
  },
};

const strandGap: BandRule = {
  rule: 'strand-gap',
  severity: 'warning',
  source: `gaps from 0.2 mm, else they fill in casting: ${CAST_SOURCE}`,
  measure: (view) => {
    const strands = strandsOf(view.design);
    if (!strands || view.design.strands?.between.kind !== 'clear') return [];
    const air = leastApartOf(strands).value - strands.wireMm;
    return [atLeast(limitOf(view, 'strand-gap', 0.2), air, phrase('between-strands'))];
  },
};

export const STRAND_RULES: readonly BandRule[] = [strandWire, linerWall, strandGap];
