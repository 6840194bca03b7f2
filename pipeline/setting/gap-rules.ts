import { gapRadius } from '../band/gap-outline.ts';
import { leastStrand } from '../band/gap-problems.ts';
import type { ShapeDesign } from '../plan/design.ts';
import type { GapDesign } from '../plan/gap-design.ts';
import { angleRound, phrase } from '../trade/bench-words.ts';
import { atLeast, type BandRule, limitOf } from './bench-rule.ts';

/** A gap is narrowest at the bore: walls that part the band along its run lean together as radii do. */
function widthAtBore(design: ShapeDesign, gap: GapDesign): number {
  if (gap.kind !== 'open') return gap.widthMm;
  return (gap.widthMm * design.circumferenceMm) / (2 * Math.PI * gapRadius(design));
}

const gapWidth: BandRule = {
  rule: 'gap-width',
  severity: 'warning',
  source: 'common practice: gaps from 0.5 mm let a polishing thread through, and soap out again',
  measure: (view) =>
    (view.design.gaps ?? []).map((gap) =>
      atLeast(
        limitOf(view, 'gap-width', 0.5),
        widthAtBore(view.design, gap),
        phrase('gap-narrowest', { gap: { name: gap.name } }),
      ),
    ),
};

/** Strands are left whole by casting and wear if they are as wide as slim bands; ends that pass each other are such strands. */
const gapStrand: BandRule = {
  rule: 'gap-strand',
  severity: 'warning',
  source: 'common practice: strands of parted shanks from 1 mm; they bear what the whole band would',
  measure: (view) =>
    (view.design.gaps ?? []).flatMap((gap) => {
      if (gap.kind === 'open') return [];
      const { at, theta } = leastStrand(view.design, gap);
      const place = phrase('gap-beside', { gap: { name: gap.name }, at: angleRound(theta) });
      return [atLeast(limitOf(view, 'gap-strand', 1), at, place)];
    }),
};

/** Bars between the openings of one gap, each with the angle of its middle; mm along the band. */
function bridges({ gaps = [], ...design }: ShapeDesign): { gap: GapDesign; at: number; theta: number }[] {
  const radius = gapRadius(design as ShapeDesign);
  return gaps.slice(1).flatMap((gap, i) => {
    const before = gaps[i];
    if (gap.kind !== 'split' || before.kind !== 'split' || gap.name !== before.name) return [];
    const at = radius * (gap.atRad - before.atRad - (gap.spanRad + before.spanRad) / 2);
    return [{ gap, at, theta: (gap.atRad + before.atRad) / 2 }];
  });
}

/** A bar is held at both ends and carries little; it has to fill in casting and to stand a knock. */
const gapBridge: BandRule = {
  rule: 'gap-bridge',
  severity: 'warning',
  source: 'common practice: bars across a gap from 0.8 mm, lest they bend when the ring is drawn on or sized',
  measure: (view) => {
    const all = bridges(view.design);
    if (all.length === 0) return [];
    const worst = all.reduce((a, b) => (b.at < a.at ? b : a));
    const place = phrase('gap-bar', { gap: { name: worst.gap.name }, at: angleRound(worst.theta) });
    return [atLeast(limitOf(view, 'gap-bridge', 0.8), worst.at, place)];
  },
};

export const GAP_RULES: readonly BandRule[] = [gapWidth, gapStrand, gapBridge];
