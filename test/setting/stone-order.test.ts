import { describe, expect, it } from 'vitest';
import { graduation } from '../../pipeline/plan/design.ts';
import { stoneOrder } from '../../pipeline/setting/stone-order.ts';
import { rowDesign } from './stone-designs.ts';

const sizes = (count: number, closed: boolean, graduate: object, change = {}) =>
  stoneOrder(
    rowDesign({ diameterMm: 1.2, graduate: { toMm: 1, stepMm: 0.05, ...graduate }, ...change }),
    count,
    closed,
  ).map(({ diameterMm }) => diameterMm);

describe('sizes along a graduated row', () => {
  it('go evenly through what lies on the way, alike to both ends, or one way', () => {
    const through = { throughMm: [1.6] };
    expect(
      graduation(rowDesign({ diameterMm: 1.2, graduate: { toMm: 1, stepMm: 0.05, ...through } })),
    ).toEqual([1.2, 1.6, 1]);
    expect(sizes(9, false, through)).toEqual([1, 1.3, 1.6, 1.4, 1.2, 1.4, 1.6, 1.3, 1]);
    expect(sizes(5, false, { ...through, oneWay: true })).toEqual([1.2, 1.4, 1.6, 1.3, 1]);
    // round a closed row out and back
    expect(sizes(8, true, through)).toEqual([1.2, 1.4, 1.6, 1.3, 1, 1.3, 1.6, 1.4]);
    expect(sizes(5, false, {})).toEqual([1, 1.1, 1.2, 1.1, 1]);
  });

  it('are the nearest that are stocked', () => {
    expect(sizes(5, false, { throughMm: [1.6] }, { stockedMm: [1, 1.25, 1.5] })).toEqual([
      1, 1.5, 1.25, 1.5, 1,
    ]);
  });
});
