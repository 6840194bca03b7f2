/** The facts of a band in tables: measures, sizes, metal, stones, bench checks. */

import { checkState, verdictOf } from '../../facts/verdict.ts';
import { carats, grams, mm } from './amounts.ts';
import { grow, make } from './element.ts';
import type { DetailBand, ItemDetail } from './page-data.ts';
import { cutName, ruleName, say } from './say.ts';
import { type Tree, tree } from './tree.ts';

export interface Fact {
  name: string;
  value: string;
  note?: string;
  /** of the others in its group */
  total?: true;
}

export interface FactGroup {
  title: string;
  facts: Fact[];
}

export function factGroups(band: DetailBand): FactGroup[] {
  const metals = band.metals.map((m) => ({ name: m.name, value: grams(m.massG), note: m.lanes.join(', ') }));
  const stones = band.rows.map((r) => ({
    name: r.label,
    value: carats(r.carats),
    note: `${r.count} × ${cutName(r.cut)}, ${r.lengthMm ? `${mm(r.lengthMm)} × ` : ''}${mm(r.diameterMm)}`,
  }));
  const all: FactGroup[] = [
    {
      title: say('measures'),
      facts: [
        { name: say('innerDiameter'), value: mm(band.innerDiameterMm) },
        { name: say('circumference'), value: mm(band.circumferenceMm) },
        { name: say('width'), value: mm(band.widthMm) },
        { name: say('thickness'), value: mm(band.thicknessMm) },
      ],
    },
    { title: say('sizes'), facts: band.sizes.map((s) => ({ name: s.label, value: s.text })) },
    {
      title: say('metal'),
      // totals of one alloy or one row too: beside another band they are what is compared
      facts: [...metals, { name: say('allMetal'), value: grams(band.metalMassG), total: true }],
    },
    {
      title: say('stonesTotal'),
      facts:
        stones.length > 0
          ? [
              ...stones,
              {
                name: say('allStones'),
                value: carats(band.totalCarats),
                note: say('inAll', { n: band.stoneCount }),
                total: true,
              },
            ]
          : stones,
    },
  ];
  return all.filter((group) => group.facts.length > 0);
}

/** @param level of the groups' headings */
export function factTrees(band: DetailBand, level: 'h2' | 'h3' | 'h4'): Tree[] {
  return factGroups(band).flatMap(({ title, facts }) => [
    tree(level, { class: 'group' }, title),
    tree(
      'table',
      {},
      tree(
        'tbody',
        {},
        ...facts.map((f) =>
          tree(
            'tr',
            {},
            tree('th', { scope: 'row' }, f.name),
            tree(
              'td',
              {},
              tree('span', { class: 'figure' }, f.value),
              f.note ? tree('small', {}, f.note) : undefined,
            ),
          ),
        ),
      ),
    ),
  ]);
}

export const factTables = (band: DetailBand, level: 'h3' | 'h4') => factTrees(band, level).map(grow);

export function benchCheckList(band: DetailBand, level: 'h3' | 'h4'): HTMLElement[] {
  const { checks = [] } = band;
  if (checks.length === 0) return [];
  const { judged, failed, waived } = verdictOf(checks);
  const passed = judged - failed.length - waived.length;
  const list = checks.map((c) => {
    const state = checkState(c);
    const said = {
      passed: say('passed'),
      note: say('note'),
      waived: say('waived', { reason: c.waived ?? '' }),
      failed: say('notPassed'),
    };
    return make(
      'li',
      { class: state === 'note' || state === 'waived' ? 'noted' : state },
      `${ruleName(c.rule)}: ${c.measured}`,
      make('small', {}, `${said[state]}; ${say('limit')} ${c.limit}; ${c.place}`),
    );
  });
  const details = make(
    'details',
    { class: 'checks' },
    make('summary', {}, say('passedOf', { n: passed, of: judged })),
    make('ul', {}, ...list),
  );
  details.open = passed < judged;
  return [make(level, { class: 'group' }, say('checks')), details];
}

const PLACES = ['firstBand', 'secondBand', 'thirdBand'] as const;

/** What a band of several is called by its place. */
export const bandPlace = (index: number): string => say(PLACES[index]);

export function bandHeading(band: DetailBand, index: number): string {
  const labels = Object.values(band.axes).join(' · ');
  return `${bandPlace(index)}${labels ? `: ${labels}` : ''}`;
}

/** True size, to stand under every picture. */
export function trueSize(item: ItemDetail): string {
  return item.bands
    .map((b) => say('trueSize', { width: mm(b.widthMm), inside: mm(b.innerDiameterMm) }))
    .join('; ');
}
