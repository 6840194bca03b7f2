import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { choose, ordersOf } from '../../pipeline/page/reader/choice.ts';
import type { PageItem } from '../../pipeline/page/reader/page-data.ts';
import { readPlace, writePlace } from '../../pipeline/page/reader/place.ts';

const band = fc.record({ size: fc.constantFrom('50', '55', '60'), metal: fc.constantFrom('rose', 'white') });
const item = fc
  .record({
    axes: fc.array(band, { minLength: 1, maxLength: 2 }),
    n: fc.nat(5),
    word: fc.constantFrom('Émeraude', 'ruby'),
  })
  .map(
    ({ axes, n, word }): PageItem => ({
      sku: `S${n}`,
      kind: axes.length > 1 ? 'pair' : 'variant',
      title: 'Band',
      lines: [],
      axes,
      words: [word],
      sizeMm: 50 + n,
      widthMm: 5,
      massG: 9 - n,
      carats: 0,
      alt: '',
      faces: [],
      stamps: [],
      shapes: [],
      part: '',
    }),
  );
const values = (all: string[]) => fc.subarray(all).map((v) => new Set(v));
const ticked = fc
  .tuple(values(['50', '55', '60']), values(['rose', 'white']), values(['Bands', 'Pairs']))
  .map(
    ([size, metal, kind]) =>
      new Map(
        [
          ['axis size', size],
          ['axis metal', metal],
          ['kind', kind],
        ].filter(([, v]) => (v as Set<string>).size > 0) as [string, Set<string>][],
      ),
  );

/** The rule said plainly, one box at a time. */
function shows(i: PageItem, boxes: ReadonlyMap<string, ReadonlySet<string>>): boolean {
  return [...boxes].every(([box, wanted]) =>
    box === 'kind'
      ? wanted.has(i.kind === 'pair' ? 'Pairs' : 'Bands')
      : i.axes.some((b) => wanted.has((b as Record<string, string>)[box.slice(5)])),
  );
}

describe('choice', () => {
  it('counts for each value what ticking it alone in its box would show', () => {
    fc.assert(
      fc.property(fc.array(item, { maxLength: 12 }), ticked, (items, boxes) => {
        const { items: shown, counts } = choose(items, { ticked: boxes, find: '', order: '' });
        expect(shown).toEqual(items.filter((i) => shows(i, boxes)));
        for (const [box, value] of [
          ['axis size', '50'],
          ['axis size', '60'],
          ['axis metal', 'rose'],
          ['kind', 'Pairs'],
        ]) {
          const alone = new Map(boxes).set(box, new Set([value]));
          expect(counts.get(box)?.get(value) ?? 0).toBe(items.filter((i) => shows(i, alone)).length);
        }
      }),
    );
  });

  it('finds words whatever their case and accents, all of them', () => {
    const [a] = fc.sample(item, { numRuns: 1, seed: 1 });
    const items = [
      { ...a, words: ['Émeraude', 'taille 53'] },
      { ...a, words: ['ruby 53'] },
    ];
    const found = (find: string) => choose(items, { ticked: new Map(), find, order: '' }).items.length;
    expect([found('emeraude'), found('53 EMER'), found('53'), found('emeraude ruby'), found('')]).toEqual([
      1, 1, 2, 0, 2,
    ]);
  });

  it('orders by what differs, the plan’s order among equals', () => {
    const [a] = fc.sample(item, { numRuns: 1, seed: 2 });
    const items = [3, 1, 2, 1].map((n, i) => ({ ...a, sku: `${n}${i}`, sizeMm: n, massG: 1 }));
    expect(ordersOf(items).map((o) => o.name)).toEqual(['size', 'size-down']);
    const by = (order: string) =>
      choose(items, { ticked: new Map(), find: '', order }).items.map((i) => i.sku);
    expect(by('size')).toEqual(['11', '13', '22', '30']);
    expect(by('size-down')).toEqual(['30', '22', '11', '13']);
    expect(by('nonsense')).toEqual(['30', '11', '22', '13']);
  });
});

describe('the place in the address', () => {
  it('comes back as it was written, whatever values hold', () => {
    fc.assert(
      fc.property(
        fc.dictionary(
          fc.string({ minLength: 1 }),
          fc.uniqueArray(fc.string(), { minLength: 1, maxLength: 3 }),
          { maxKeys: 3 },
        ),
        fc.string(),
        fc.integer({ min: 1, max: 99 }),
        (axes, find, page) => {
          const place = {
            ticked: new Map(Object.entries(axes).map(([axis, v]) => [`axis ${axis}`, new Set(v)])),
            find,
            order: 'mass',
            view: 'looks' as const,
            liked: true,
            page,
            item: 'A-1',
            beside: ['A-1', 'B-1'],
            comparing: false,
            lost: [],
          };
          expect(readPlace(writePlace(place), (sku) => ['A-1', 'B-1'].includes(sku))).toEqual(place);
        },
      ),
    );
  });

  it('opens a SKU alone, as older pages wrote it, and lets nonsense be', () => {
    const known = (sku: string) => sku === 'A-1';
    expect(readPlace('#A-1', known).item).toBe('A-1');
    expect(readPlace('#%', known).item).toBe('');
    expect(readPlace('#item=gone&page=-3&compare=A-1', known)).toMatchObject({
      item: '',
      page: 1,
      comparing: false,
    });
  });
});
