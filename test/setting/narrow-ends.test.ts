import { beforeAll, describe, expect, it } from 'vitest';
import type { RowDesign } from '../../pipeline/plan/design.ts';
import { ProblemError } from '../../pipeline/problem.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { loadSolidKernel, type SolidKernel } from '../../pipeline/setting/solid-kernel.ts';
import { config, planOf, problemsOf } from '../plan/workspace.ts';
import { plannedShape } from './planned-shape.ts';
import { expectSoundSet } from './sound-set.ts';
import { straightRowDesign } from './stone-designs.ts';

let kernel: SolidKernel;
beforeAll(async () => {
  kernel = await loadSolidKernel();
});

const BAND = { widthMm: 5, thicknessMm: 2.4 };
const three = (row: Partial<RowDesign>) =>
  straightRowDesign(
    {
      coverage: { kind: 'angles', anglesRad: [-0.5, 0, 0.5] },
      holeShare: 0.4,
      setting: { style: 'none' },
      ...row,
    },
    BAND,
  );

/** Where each stone's +x (or +y) looks in the band. */
async function looks(row: Partial<RowDesign>, column: 0 | 1) {
  const { rows } = await plannedShape(three(row), kernel);
  return [0, 1, 2].map((i) => [0, 4, 8].map((k) => rows[0].placements[12 * i + k + column]));
}

describe('stones with a narrow end', () => {
  const pears = { cut: 'pear-brilliant', diameterMm: 2, lengthMm: 3 } as const;

  it('along the row look away from the top, or towards it', async () => {
    const out = await looks(pears, 0);
    // x grows with θ from the top on
    expect(out.map(([x]) => Math.sign(x))).toEqual([-1, 1, 1]);
    const inwards = await looks({ ...pears, narrowEnd: 'inwards' }, 0);
    expect(inwards.map(([x]) => Math.sign(x))).toEqual([1, -1, -1]);
  });

  it.each([
    ['pears across', { cut: 'pear-brilliant', diameterMm: 3, lengthMm: 2 }],
    ['trilliants', { cut: 'trilliant', diameterMm: 2.4, lengthMm: 2.4 }],
  ] as [string, Partial<RowDesign>][])('%s look towards the second edge, or the first', async (_, row) => {
    for (const [, , z] of await looks(row, 1)) expect(z).toBeCloseTo(1, 6);
    for (const [, , z] of await looks({ ...row, narrowEnd: 'inwards' }, 1)) expect(z).toBeCloseTo(-1, 6);
  });

  it.each([
    ['pears', { cut: 'pear-brilliant', diameterMm: 1.8, lengthMm: 2.7 }],
    ['cushions', { cut: 'cushion-brilliant', diameterMm: 2, lengthMm: 2 }],
    ['trilliants', { cut: 'trilliant', diameterMm: 2.2, lengthMm: 2.2 }],
    ['tapered baguettes', { cut: 'tapered-baguette', diameterMm: 1.6, lengthMm: 3.2 }],
  ] as [string, Partial<RowDesign>][])('%s lie in seats of their own form', async (_, row) => {
    const shape = await buildShape(three(row), kernel);
    expectSoundSet(kernel, shape, 0, 4);
  });

  it('are refused between walls, which would not reach over the narrow end', async () => {
    const walls = three({
      cut: 'tapered-baguette',
      diameterMm: 1.6,
      lengthMm: 3.2,
      setDepthMm: 0.2,
      setting: { style: 'channel', openingShare: 0.9 },
    });
    const error = await buildShape(walls, kernel).catch((e: unknown) => e);
    expect(error).toBeInstanceOf(ProblemError);
    expect((error as ProblemError).problems.map(({ code }) => code)).toContain('channel-tapered');
  });
});

describe('a row of templates', () => {
  const text = (row: string) =>
    config({
      template: 'template: plain-court',
      overrides: `overrides: { width: 5 mm, thickness: 2.4 mm, rows: { row: { lane: band, setting: none, coverage: [0 deg], ${row} } } }`,
      origins: 'origins: { diamond: natural }',
      treatments: '',
      grid: 'grid: { size: [ISO 54] }',
      shots: 'shots: [front]',
    });

  it('says which way they look, and refuses that of stones without a narrow end', async () => {
    const pear = 'cut: pear-brilliant, diameter: 2 mm, narrow-end: inwards';
    const [design] = Object.values((await planOf(text(pear))).plan.shapes);
    expect(design.rows[0]).toMatchObject({ narrowEnd: 'inwards', lengthMm: 3 });
    const round = await problemsOf(text('diameter: 2 mm, narrow-end: inwards'));
    expect(round[0]).toMatchObject({ code: 'narrow-end-of-none', path: 'rows.row.narrow-end' });
  });

  it('says of hearts why they are not cut', async () => {
    const [heart] = await problemsOf(text('cut: heart, diameter: 2 mm'));
    expect(heart.advice).toMatch(/never hollow/);
  });
});

it('trilliants side by side are held where they come nearest, which is not in the middle', async () => {
  const shape = await buildShape(
    straightRowDesign(
      {
        cut: 'trilliant',
        diameterMm: 2.4,
        lengthMm: 2.4,
        coverage: { kind: 'arc', angleRad: 1.5 },
        leastGapMm: 0.16,
        setDepthMm: 0,
        holeShare: 0.45,
        setting: { style: 'shared-claws', clawDiameterMm: 0.75, clawHeightMm: 0.18 },
      },
      { widthMm: 4, thicknessMm: 2 },
    ),
    kernel,
  );
  expect(shape.checks.filter(({ rule, passed }) => rule === 'claw-bite' && !passed)).toEqual([]);
});
