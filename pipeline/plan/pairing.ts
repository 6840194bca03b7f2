import { canonicalJson } from '../store/canonical-json.ts';
import type { AxisValue } from './axis.ts';
import { alloysByLane, configWords, partnerMetal, partnerSize, partnerWidth, withoutStones } from './axis.ts';
import type { Config } from './config-schema.ts';
import type { TemplateChange } from './design-cache.ts';
import { type ExpandedVariant, type Expansion, makeVariant } from './expansion.ts';
import { type GridCell, readMatch } from './match.ts';
import type { PartnerRelation } from './mirrored.ts';
import type { Pair, Sku, Variant } from './plan.ts';
import { cellText } from './sku.ts';
import type { FieldPath } from './yaml-source.ts';

type PairConfig = Config['pairs'][number];

/** The partner's cell: the left band's, with what the pair changes. */
function partnerCell(
  left: GridCell,
  partner: PairConfig['partner'],
  lanes: string[],
  path: FieldPath,
  config: Config,
): GridCell {
  const { language } = config;
  const cell = new Map<string, AxisValue>(left);
  if (partner.size) cell.set('size', partnerSize(partner.size, path));
  if (partner.width !== undefined) cell.set('width', partnerWidth(partner.width, path, language));
  if (partner.metal)
    cell.set('metal', partnerMetal(alloysByLane(partner.metal, lanes), path, configWords(config)));
  if (!partner.stones) cell.set('stone', withoutStones(path, language));
  return cell;
}

/** How the partner's design follows the left band's; undefined if it is made like any other. */
function followingOf(
  partner: PairConfig['partner'],
  left: GridCell,
  right: GridCell,
): PartnerRelation | undefined {
  const { mirror } = partner;
  const fit = partner.waves === undefined ? mirror !== false : partner.waves === 'fit';
  if (mirror === false && !fit) return undefined;
  const [from, to] = [left, right].map((cell) => cell.get('size')?.size?.circumferenceMm);
  return {
    mirror: mirror !== false,
    turn: typeof mirror === 'object' ? mirror.turn : 0,
    longer: fit && from && to ? to / from : 1,
  };
}

function looks(v: Variant): string {
  return canonicalJson([v.shape, v.dress, v.origins, v.treatments]);
}

/**
 * Pairs of a config, some with a third band. A partner that is a catalogue item itself is that item; one that isn't gets
 * a SKU of its own, made from the pair's.
 */
export function expandPairs(expanded: readonly ExpandedVariant[], lanes: string[], e: Expansion): Pair[] {
  const items = new Map(expanded.map(({ variant }) => [looks(variant), variant]));
  return e.config.pairs.flatMap((pair, i) => {
    const path: FieldPath = ['pairs', i];
    const matches = pair.when ? readMatch(pair.when, e.axes, [...path, 'when'], e.findings) : () => true;
    if (!matches) return [];
    const lefts = expanded.filter(({ cell }) => matches(cell));
    if (lefts.length === 0 && expanded.length > 0)
      e.findings.add({
        code: 'idle-pair',
        severity: 'warning',
        path,
        expected: 'a pair that some variant matches',
        received: 'none',
        advice: 'Check its "when", and the skips.',
      });
    return lefts.flatMap(({ cell, variant: left }) => {
      const sku = e.skus.take(`${left.sku}-${pair.name}`, `pair of ${left.sku}`, [...path, 'name']);
      const other = (what: 'partner' | 'third', changed: PairConfig['partner']): Variant | undefined => {
        const extra: TemplateChange[] = [{ path: [...path, what], set: changed.set }];
        const own = partnerCell(cell, changed, lanes, [...path, what], e.config);
        const made = makeVariant(own, `${sku}-${what}` as Sku, e, extra, followingOf(changed, cell, own));
        const item = made && items.get(looks(made));
        if (made && !item)
          e.skus.take(made.sku, `${what} of ${left.sku}: ${cellText(own)}`, [...path, 'name']);
        return item ?? made;
      };
      const right = other('partner', pair.partner);
      const third = pair.third && other('third', pair.third);
      if (!right || (pair.third && !third)) return [];
      const usual = third ? 'worn' : pair.partner.mirror !== false ? 'stacked' : 'apart';
      const laid = pair.lay ?? usual;
      return [{ sku, left, right, ...(third && { third }), ...(laid !== 'apart' && { laid }) }];
    });
  });
}
