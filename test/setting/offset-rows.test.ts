/** Rows that stand beside the middle of their lane: by symmetry, closed forms and the other rules of rows. */
import { beforeAll, describe, expect, it } from 'vitest';
import { lanesOf } from '../../pipeline/band/lane.ts';
import { isRefused } from '../../pipeline/problem.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { planRow } from '../../pipeline/setting/row-plan.ts';
import { loadSolidKernel, type SolidKernel } from '../../pipeline/setting/solid-kernel.ts';
import { inspectMesh } from '../band/closed-mesh.ts';
import { config, planOf, problemsOf } from '../plan/workspace.ts';
import { plannedShape } from './planned-shape.ts';
import { rowDesign, SMALL, straightRowDesign, wavyRowDesign } from './stone-designs.ts';

let kernel: SolidKernel;
beforeAll(async () => {
  kernel = await loadSolidKernel();
});

const wide = { widthMm: 7, ...SMALL };
const off = (offsetMm: number) => straightRowDesign({ offsetMm, coverage: { kind: 'full' } }, wide);

describe('a row beside the middle of its lane', () => {
  it('is the row of the middle moved along the finger, on a band that is level there', async () => {
    const [middle, beside] = [await buildShape(off(0), kernel), await buildShape(off(1.4), kernel)];
    expect(inspectMesh(beside.lanes[0].mesh)).toMatchObject({ looseEdges: 0 });
    expect(beside.rows[0].count).toBe(middle.rows[0].count);
    // rows of a 3×4 matrix; the last number of each is the place
    const places = (shape: typeof middle) =>
      Array.from({ length: shape.rows[0].count }, (_, i) =>
        [3, 7, 11].map((k) => shape.rows[0].placements[12 * i + k]),
      );
    const moved = places(middle).map(([x, y, z]) => [x, y, z + 1.4]);
    for (const [i, place] of places(beside).entries())
      for (const [k, v] of place.entries()) expect(v).toBeCloseTo(moved[i][k], 6);
    // the same seats and claws in the same metal
    expect(beside.lanes[0].volumeMm3).toBeCloseTo(middle.lanes[0].volumeMm3, 1);
  });

  it('follows the swing of its lane', () => {
    const design = wavyRowDesign();
    const lanes = lanesOf(design);
    const [row] = design.rows;
    const zs = (offsetMm?: number) => {
      const plan = planRow(
        {
          ...row,
          diameterMm: 0.8,
          setting: { style: 'none' },
          coverage: { kind: 'angles', anglesRad: [0, 0.4, 1] },
          offsetMm,
        },
        0,
        lanes,
      );
      if (isRefused(plan)) throw new Error(plan.problems.map(({ code }) => code).join());
      return plan.places.stones.map(({ frame }) => frame);
    };
    const [at, beside] = [zs(), zs(0.2)];
    expect(new Set(at.map(({ origin }) => origin[2].toFixed(2))).size).toBeGreaterThan(1);
    // where the surface is domed the girdle's plane leans, and its middle with it
    for (const [i, { origin }] of beside.entries()) expect(origin[2] - at[i].origin[2]).toBeCloseTo(0.2, 1);
  });

  it('has its stones counted with those of other rows in the lane, which keep their distance', async () => {
    const two = (apart: number) =>
      straightRowDesign(
        {},
        {
          ...wide,
          rows: [
            rowDesign({ name: 'a', offsetMm: -apart / 2 }),
            rowDesign({ name: 'b', offsetMm: apart / 2 }),
          ],
        },
      );
    const shape = await plannedShape(two(3), kernel);
    expect(shape.rows.map(({ count }) => count)).toEqual([shape.rows[0].count, shape.rows[0].count]);
    await expect(buildShape(two(1), kernel)).rejects.toThrow(/stones-collide/);
  });

  it('stays on its lane, and out of fields and channels; a mirrored partner has it on the other side', async () => {
    const plan = (offset: string, setting: string) =>
      config({
        template: 'template: plain-court',
        overrides: `overrides: { width: 6 mm, rows: { line: { lane: band, offset: ${offset}, diameter: 1.3 mm, coverage: half, setting: ${setting} } } }`,
        origins: 'origins: { diamond: natural }',
        treatments: '',
        grid: 'grid: { size: [ISO 54] }\npairs: [{ name: duo, when: { size: ISO 54 }, partner: { mirror: true } }]',
        shots: 'shots: [front, pair]',
      });
    expect(await problemsOf(plan('1 mm', '{ style: channel }'))).toContainEqual(
      expect.objectContaining({ code: 'offset-setting' }),
    );
    const { shapes } = (await planOf(plan('1.2 mm', '{ style: flush }'))).plan;
    expect(Object.values(shapes).map(({ rows }) => rows[0].offsetMm)).toEqual([1.2, -1.2]);
    await expect(buildShape(off(3.5), kernel)).rejects.toThrow(/offset-off-lane/);
  });
});
