import { beforeAll, describe, expect, it } from 'vitest';
import type { RowDesign, ShapeDesign } from '../../pipeline/plan/design.ts';
import { ProblemError } from '../../pipeline/problem.ts';
import { buildShape, checkShape } from '../../pipeline/setting/build-shape.ts';
import { loadSolidKernel, type SolidKernel } from '../../pipeline/setting/solid-kernel.ts';
import { expectSoundSet } from './sound-set.ts';
import { BRIGHT_GRAIN, SMALL, straightRowDesign, wavyRowDesign } from './stone-designs.ts';

let kernel: SolidKernel;
beforeAll(async () => {
  kernel = await loadSolidKernel();
});

const top = { kind: 'arc', angleRad: 1.2 } as const;

function grainDesign(row: Partial<RowDesign> = {}, change: Partial<ShapeDesign> = {}): ShapeDesign {
  return straightRowDesign(
    { diameterMm: 1.3, setDepthMm: 0.15, coverage: top, setting: BRIGHT_GRAIN, ...row },
    { widthMm: 4, thicknessMm: 1.9, ...change },
  );
}

describe.each([
  ['grains of their own, bright cut', grainDesign(), 0],
  [
    'shared grains, steep field',
    grainDesign({ setting: { ...BRIGHT_GRAIN, grains: 'shared', brightCut: false } }),
    0,
  ],
  ['squares under four grains', grainDesign({ cut: 'princess', lengthMm: 1.3, setDepthMm: 0.12 }), 0],
  [
    'a full row on a wave',
    wavyRowDesign(
      { diameterMm: 1.1, setDepthMm: 0.15, setting: { ...BRIGHT_GRAIN, fieldMm: 0.2, grainMm: 0.3 } },
      { widthMm: 6, ...SMALL },
    ),
    1,
  ],
  ['a closed seat', grainDesign({ holeShare: 0 }), 0],
] as [string, ShapeDesign, number][])('%s', (_, design, lane) => {
  it('are one manifold of genus 1 + one hole a stone, true of normal, and no stone can lift out', async () => {
    const shape = await buildShape(design, kernel);
    const { leastCosine } = expectSoundSet(
      kernel,
      shape,
      lane,
      1 + (design.rows[0].holeShare > 0 ? shape.rows[0].count : 0),
      0.06,
    );
    expect(leastCosine).toBeGreaterThan(0.8);
    expect(shape.checks.filter(({ severity, passed }) => severity === 'error' && !passed)).toEqual([]);
    const bite = shape.checks.find(({ rule }) => rule === 'grain-bite')!;
    expect(Number.parseFloat(bite.measured)).toBeGreaterThan(0.03);
    // a grain bites at most what it overlaps the girdle by: 0.2 of its diameter
    expect(Number.parseFloat(bite.measured)).toBeLessThan(0.2 * 0.34 + 0.01);
  });
});

it('cuts a field of the volume of its outline swept round (Pappus), in a full row of shallow seats', async () => {
  const full = { coverage: { kind: 'full' }, holeShare: 0 } as const;
  const without = grainDesign({ ...full, setting: { style: 'none' } }, SMALL);
  const shallow = await buildShape(without, kernel);
  const field = { ...BRIGHT_GRAIN, fieldMm: 0.3, fieldDepthMm: 0.1, brightCut: true } as const;
  const cut = await buildShape(grainDesign({ ...full, setting: field }, SMALL), kernel);
  const lost = shallow.lanes[0].volumeMm3 - cut.lanes[0].volumeMm3;
  // trapezium 0.1 deep with 45° walls on a floor of 1.3 + 2 · 0.3; less what the seats had taken, plus the grains
  const radius = cut.innerDiameterMm / 2 + cut.thicknessMm;
  const { count } = cut.rows[0];
  const trapezium = 0.1 * (1.9 + 0.1) * 2 * Math.PI * (radius - 0.05);
  const seats = count * Math.PI * 0.67 ** 2 * 0.1;
  // each grain stands 0.17 above its girdle and so about 0.12 above the floor, a cap of radius 0.17 bitten by the stone
  const grains = 4 * count * Math.PI * 0.17 ** 2 * 0.12;
  expect(lost).toBeLessThan(trapezium - seats);
  expect(lost).toBeGreaterThan(trapezium - seats - grains);
});

describe('grain setting', () => {
  it.each([
    ['field-off-lane', { setting: { ...BRIGHT_GRAIN, fieldMm: 1.3 } }],
    ['field-too-deep', { setting: { ...BRIGHT_GRAIN, fieldDepthMm: 0.3 } }],
    ['grains-crowd', { setting: { ...BRIGHT_GRAIN, grainMm: 0.9 } }],
    ['grains-out-of-reach', { leastGapMm: 0.5, setting: { ...BRIGHT_GRAIN, grains: 'shared' } }],
    [
      'grain-too-shallow',
      { setting: { ...BRIGHT_GRAIN, grainMm: 0.6, grains: 'shared' } },
      { thicknessMm: 0.6 },
    ],
  ] as [string, Partial<RowDesign>, Partial<ShapeDesign>?][])('is refused: %s', async (code, row, change) => {
    const error = await buildShape(grainDesign(row, change), kernel).catch((e: unknown) => e);
    expect(error).toBeInstanceOf(ProblemError);
    expect((error as ProblemError).problems.map((p) => p.code)).toContain(code);
  });

  it('measures girdle depth, grains and rail against the trade’s limits', async () => {
    const checksOf = async (row: Partial<RowDesign>, change: Partial<ShapeDesign> = {}) => {
      const checks = await checkShape(grainDesign(row, change), kernel);
      // of two findings of a rule the first is its lower limit
      return Object.fromEntries([...checks].reverse().map((c) => [c.rule, c]));
    };
    // 0.05–0.15 mm below the surface: common practice
    expect((await checksOf({}))['girdle-depth']).toMatchObject({ passed: true, measured: '0.15 mm' });
    const proud = await checksOf({ setDepthMm: 0.03, setting: { ...BRIGHT_GRAIN, fieldDepthMm: 0.04 } });
    expect(proud['girdle-depth']).toMatchObject({ passed: false, measured: '0.03 mm' });
    expect((await checksOf({ setting: { ...BRIGHT_GRAIN, grainMm: 0.18 } }))['grain-diameter'].passed).toBe(
      false,
    );
    // half of 3 mm, less 0.65 of stone, 0.25 of floor, 0.1 of bright wall and 0.2 of rounded edge
    expect((await checksOf({}, { widthMm: 3 }))['grain-rail'].measured).toBe('0.30 mm');
  });
});
