import { beforeAll, describe, expect, it } from 'vitest';
import { withPolishAllowance } from '../../pipeline/band/polish-allowance.ts';
import type { RowDesign, ShapeDesign } from '../../pipeline/plan/design.ts';
import { ProblemError } from '../../pipeline/problem.ts';
import { buildShape, checkShape } from '../../pipeline/setting/build-shape.ts';
import { loadSolidKernel, type SolidKernel } from '../../pipeline/setting/solid-kernel.ts';
import { plannedShape } from './planned-shape.ts';
import { expectSoundSet } from './sound-set.ts';
import { SMALL, straightRowDesign } from './stone-designs.ts';

let kernel: SolidKernel;
beforeAll(async () => {
  kernel = await loadSolidKernel();
});

const flush = { style: 'flush', lipMm: 0.08 } as const;
const top = { kind: 'arc', angleRad: 1 } as const;

function flushDesign(row: Partial<RowDesign> = {}, change: Partial<ShapeDesign> = {}): ShapeDesign {
  return straightRowDesign(
    { diameterMm: 2, count: 1, leastGapMm: 0.6, coverage: top, setting: flush, ...row },
    { thicknessMm: 2, widthMm: 4, ...change },
  );
}
const court = { name: 'court', domeMm: 0.3, comfortMm: 0.1, edgeMm: 0.25, boreEdgeMm: 0.2 } as const;

describe.each([
  ['one brilliant', flushDesign()],
  ['three brilliants', flushDesign({ count: 3 })],
  ['a single cut on a court band', flushDesign({ cut: 'single-cut', diameterMm: 1.5 }, { section: court })],
  [
    'a full row of small ones',
    flushDesign({ diameterMm: 1.3, count: 'fit', coverage: { kind: 'full' } }, SMALL),
  ],
  ['a closed seat', flushDesign({ holeShare: 0 })],
])('%s set flush', (_, design) => {
  it('leaves one closed manifold of genus 1 + one hole a stone, free of stones that cannot lift out', async () => {
    const shape = await buildShape(design, kernel);
    expectSoundSet(kernel, shape, 0, 1 + (design.rows[0].holeShare > 0 ? shape.rows[0].count : 0), 0.06);
    expect(shape.checks.filter(({ severity, passed }) => severity === 'error' && !passed)).toEqual([]);
  });

  it('has every table level with the band’s outside, in the middle of its lane', async () => {
    const { rows, innerDiameterMm, thicknessMm } = await plannedShape(design, kernel);
    const { stone, placements, count } = rows[0];
    const table = Math.max(...stone.mesh.positions.filter((_, i) => i % 3 === 2));
    for (let i = 0; i < count; i++) {
      const m = placements.subarray(12 * i, 12 * i + 12);
      const radius = Math.hypot(m[3] + table * m[2], m[7] + table * m[6]);
      expect(radius).toBeCloseTo(innerDiameterMm / 2 + thicknessMm, 4);
    }
  });
});

describe('flush settings', () => {
  it('want metal for the stone and 0.2 mm (orchid.ganoksin.com/t/appropriate-gauge-for-flush-setting/34008)', async () => {
    // a 2 mm brilliant is 0.608 · 2 = 1.217 mm deep: 1.417 mm of metal is the limit
    const passes = async (thicknessMm: number) =>
      (await checkShape(flushDesign({}, { thicknessMm }), kernel)).find((c) => c.rule === 'flush-metal')!
        .passed;
    expect(await passes(1.5)).toBe(true);
    expect(await passes(1.35)).toBe(false);
  });

  it.each([
    ['flush-not-round', { cut: 'princess', lengthMm: 2 }],
    ['flush-lip', { setting: { style: 'flush', lipMm: 0.6 } }],
    ['flush-lip-bare', { setting: { style: 'flush', lipMm: 0.3 } }],
    ['flush-too-close', { count: 3, leastGapMm: 0.1 }],
    ['flush-off-lane', { diameterMm: 3.7 }],
  ] as [string, Partial<RowDesign>][])('are refused: %s', async (code, row) => {
    const error = await buildShape(flushDesign(row, { thicknessMm: 3 }), kernel).catch((e: unknown) => e);
    expect(error).toBeInstanceOf(ProblemError);
    expect((error as ProblemError).problems.map((p) => p.code)).toContain(code);
  });
});

it.each([
  ['outside', {}],
  ['in the bore', { inside: true, holeShare: 0, coverage: { kind: 'angles', anglesRad: [Math.PI] } }],
  ['in a side face', { face: 'second', holeShare: 0, diameterMm: 1.2 }],
] as [string, Partial<RowDesign>][])(
  'metal for polishing lies over tables %s: the stones stay where the finished band has them',
  async (_, row) => {
    const design = flushDesign({ diameterMm: 1.4, count: 1, ...row });
    const finished = await buildShape(design, kernel);
    const cast = await buildShape(withPolishAllowance(design, 0.05, [1]), kernel);
    for (let k = 0; k < 12; k++)
      expect(cast.rows[0].placements[k]).toBeCloseTo(finished.rows[0].placements[k], 6);
    expectSoundSet(kernel, cast, 0, cast.rows[0].inside || cast.rows[0].face ? 1 : 2);
    expect(cast.lanes[0].volumeMm3).toBeGreaterThan(finished.lanes[0].volumeMm3);
  },
);
