import { describe, expect, it } from 'vitest';
import { lanesOf } from '../../pipeline/band/lane.ts';
import type { RowDesign } from '../../pipeline/plan/design.ts';
import { isRefused } from '../../pipeline/problem.ts';
import { planRow } from '../../pipeline/setting/row-plan.ts';
import { rowDesign, straightRowDesign } from './stone-designs.ts';

/** Steps in which small brilliants are commonly sold, mm: a trade's sieve sizes, invented for the test. */
const stockedMm = [1, 1.1, 1.15, 1.25, 1.3, 1.5];

function planned(change: Partial<RowDesign>) {
  const setting = { style: 'none' } as const;
  const row = rowDesign({
    stockedMm,
    setting,
    coverage: { kind: 'arc', angleRad: 2 },
    setDepthMm: 0.1,
    ...change,
  });
  return planRow(row, 0, lanesOf(straightRowDesign()));
}

describe('a row of stocked stones', () => {
  it('that is graduated has the nearest stocked diameters, falling from its middle outwards', () => {
    const row = planned({ diameterMm: 1.5, graduate: { toMm: 1, stepMm: 0.05 } });
    if (isRefused(row)) throw new Error(JSON.stringify(row.problems));
    const sizes = row.members.map(({ set }) => set.design.diameterMm);
    expect(sizes.every((size) => stockedMm.includes(size))).toBe(true);
    expect(new Set(sizes).size).toBeGreaterThan(3);
    const middle = (sizes.length - 1) / 2;
    sizes.forEach((size, i) => {
      // what an even fall would give, and how far the shelf lets it be off: half of its widest step
      const even = 1.5 - 0.5 * (Math.abs(i - middle) / middle);
      expect(Math.abs(size - even)).toBeLessThan(0.1 + 1e-9);
    });
  });

  it.each([
    ['rows.row.diameter', { diameterMm: 1.22 }, '1.25 mm', '1.22 mm'],
    [
      'rows.row.graduate.to',
      { diameterMm: 1.5, graduate: { toMm: 0.9, stepMm: 0.05 } },
      '1.00 mm',
      '0.90 mm',
    ],
    [
      'rows.row.alternate[0].diameter',
      { diameterMm: 1.5, alternate: [{ name: 'b', cut: 'round-brilliant', diameterMm: 1.4 }] },
      '1.30 mm',
      '1.40 mm',
    ],
  ] satisfies [string, Partial<RowDesign>, string, string][])(
    'that asks at %s for what is not there is refused with the nearest',
    (path, change, nearest, received) => {
      const row = planned(change);
      if (!isRefused(row)) throw new Error('planned');
      expect(row.problems.map((p) => [p.code, p.path, p.received])).toEqual([
        ['not-stocked', path, received],
      ]);
      expect(row.problems[0].expected).toContain(nearest);
    },
  );

  it('may have a centre stone of any size', () => {
    const centre = { name: 'row-centre', cut: 'round-brilliant', diameterMm: 1.87 } as const;
    expect(isRefused(planned({ diameterMm: 1.3, centre }))).toBe(false);
  });
});
