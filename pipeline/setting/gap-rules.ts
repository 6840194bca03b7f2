import { gapRadius } from '../band/gap-outline.ts';
import { leastStrand } from '../band/gap-problems.ts';
import type { ShapeDesign } from '../plan/design.ts';
import type { GapDesign } from '../plan/gap-design.ts';
import { angle, phrase } from '../trade/bench-words.ts';
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
      const place = phrase('gap-beside', { gap: { name: gap.name }, at: angle(theta) });
      return [atLeast(limitOf(view, 'gap-strand', 1), at, place)];
    }),
};

export const GAP_RULES: readonly BandRule[] = [gapWidth, gapStrand];
