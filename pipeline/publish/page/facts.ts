/** The facts of a band in tables: measures, sizes, metal, stones, bench checks. */
import { carats, grams, mm } from './amounts.ts';
import { make } from './element.ts';
import type { DetailBand, ItemDetail } from './page-data.ts';

export interface Fact {
  name: string;
  value: string;
  note?: string;
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
    note: `${r.count} × ${r.cut.replaceAll('-', ' ')}, ${r.lengthMm ? `${mm(r.lengthMm)} by ` : ''}${mm(r.diameterMm)}`,
  }));
  const all = [
    {
      title: 'Measures',
      facts: [
        { name: 'Inner diameter', value: mm(band.innerDiameterMm) },
        { name: 'Circumference', value: mm(band.circumferenceMm) },
        { name: 'Width', value: mm(band.widthMm) },
        { name: 'Thickness', value: mm(band.thicknessMm) },
      ],
    },
    { title: 'Sizes', facts: band.sizes.map((s) => ({ name: s.label, value: s.text })) },
    {
      title: 'Metal',
      facts: metals.length > 1 ? [...metals, { name: 'All metal', value: grams(band.metalMassG) }] : metals,
    },
    {
      title: 'Stones, total weight',
      facts:
        stones.length > 1
          ? [
              ...stones,
              { name: 'All stones', value: carats(band.totalCarats), note: `${band.stoneCount} in all` },
            ]
          : stones,
    },
  ];
  return all.filter((group) => group.facts.length > 0);
}

/** @param level of the groups' headings */
export function factTables(band: DetailBand, level: 'h3' | 'h4'): HTMLElement[] {
  return factGroups(band).flatMap(({ title, facts }) => [
    make(level, { class: 'group' }, title),
    make(
      'table',
      {},
      make(
        'tbody',
        {},
        ...facts.map((f) =>
          make(
            'tr',
            {},
            make('th', { scope: 'row' }, f.name),
            make('td', {}, f.value, f.note ? make('small', {}, f.note) : ''),
          ),
        ),
      ),
    ),
  ]);
}

export function benchChecks(band: DetailBand, level: 'h3' | 'h4'): HTMLElement[] {
  if (band.checks.length === 0) return [];
  const passed = band.checks.filter((c) => c.passed).length;
  const list = band.checks.map((c) => {
    const state = c.passed ? 'passed' : c.waived ? `not passed, waived: ${c.waived}` : 'not passed';
    return make(
      'li',
      { class: c.passed ? 'passed' : 'failed' },
      `${c.rule.replaceAll('-', ' ')}: ${c.measured}`,
      make('small', {}, `${state}; limit ${c.limit}; ${c.place} (${c.source})`),
    );
  });
  const details = make(
    'details',
    { class: 'checks' },
    make('summary', {}, `${passed} of ${band.checks.length} passed`),
    make('ul', {}, ...list),
  );
  details.open = passed < band.checks.length;
  return [make(level, { class: 'group' }, 'Bench checks'), details];
}

export function bandHeading(band: DetailBand, index: number): string {
  const labels = Object.values(band.axes).join(', ');
  return `${index === 0 ? 'First' : 'Second'} band${labels ? `: ${labels}` : ''}`;
}

/** True size, to stand under every picture. */
export function trueSize(item: ItemDetail): string {
  return item.bands.map((b) => `${mm(b.widthMm)} wide, ${mm(b.innerDiameterMm)} inside`).join('; ');
}
