import type { Manifold } from 'manifold-3d';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { BuiltShape, TriMesh } from '../../pipeline/band/built-shape.ts';
import type { RowDesign, ShapeDesign } from '../../pipeline/plan/design.ts';
import { ProblemError } from '../../pipeline/problem.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { loadSolidKernel, type SolidKernel } from '../../pipeline/setting/solid-kernel.ts';
import { cutStone } from '../../pipeline/setting/stone.ts';
import { CUT_NAMES, CUTS } from '../../pipeline/trade/cuts.ts';
import { inspectMesh } from '../band/closed-mesh.ts';
import { eachStone, solidFrom } from './bare-solid.ts';
import { plannedShape } from './planned-shape.ts';
import { commonVolume, LEAST_HOLD_MM3, leastHold } from './sound-set.ts';
import { straightRowDesign, wavyRowDesign } from './stone-designs.ts';

let kernel: SolidKernel;
beforeAll(async () => {
  kernel = await loadSolidKernel();
});
const bareSolid = (mesh: TriMesh) => solidFrom(kernel, mesh);

const claws = (clawDiameterMm: number, clawHeightMm: number) =>
  ({ style: 'shared-claws', clawDiameterMm, clawHeightMm }) as const;

/** A row over a third of the top of a thick, wide band. */
function thirdRow(row: Partial<RowDesign>): ShapeDesign {
  const coverage = { kind: 'arc', angleRad: 1.5 } as const;
  return straightRowDesign({ coverage, ...row }, { thicknessMm: 2.2, widthMm: 4.4 });
}

const gentle = { kind: 'wave', amplitudeMm: 0.4, periods: 4, sharpness: 0.3, phaseRad: 0 } as const;

/** Square stones on a wave, where neighbours are turned against each other. */
function waveOfSquares(row: Partial<RowDesign> = {}): ShapeDesign {
  return wavyRowDesign(
    {
      cut: 'princess',
      diameterMm: 1.2,
      lengthMm: 1.2,
      setDepthMm: 0.1,
      coverage: { kind: 'arc', angleRad: 1.8 },
      setting: claws(0.5, 0.18),
      ...row,
    },
    {
      thicknessMm: 2,
      widthMm: 6,
      seams: [
        { ...gentle, atMm: -1.3 },
        { ...gentle, atMm: 1.3 },
      ],
    },
  );
}

describe.each([
  ['single cuts', thirdRow({ cut: 'single-cut', diameterMm: 1.2, setting: claws(0.45, 0.18) }), 0],
  [
    'ovals along the row',
    thirdRow({ cut: 'oval-brilliant', diameterMm: 2, lengthMm: 2.8, setting: claws(0.7, 0.28) }),
    0,
  ],
  [
    'ovals across the row',
    thirdRow({ cut: 'oval-brilliant', diameterMm: 2.8, lengthMm: 2, setting: claws(0.7, 0.28) }),
    0,
  ],
  [
    'marquises across the row',
    thirdRow({ cut: 'marquise-brilliant', diameterMm: 3.2, lengthMm: 1.6, setting: claws(0.6, 0.22) }),
    0,
  ],
  [
    'marquises along the row, without claws',
    thirdRow({ cut: 'marquise-brilliant', diameterMm: 1.6, lengthMm: 3.2, setting: { style: 'none' } }),
    0,
  ],
  [
    'princess cuts',
    thirdRow({ cut: 'princess', diameterMm: 1.8, lengthMm: 1.8, setting: claws(0.6, 0.225) }),
    0,
  ],
  ['princess cuts on a wave', waveOfSquares(), 1],
  [
    'baguettes along the row',
    // long stones lean away from each other: their claws want a wider gap to stand in
    thirdRow({ cut: 'baguette', diameterMm: 1.5, lengthMm: 3, leastGapMm: 0.15, setting: claws(0.7, 0.18) }),
    0,
  ],
  [
    'baguettes across the row',
    thirdRow({ cut: 'baguette', diameterMm: 2.6, lengthMm: 1.3, setting: claws(0.6, 0.16) }),
    0,
  ],
] as [string, ShapeDesign, number][])('%s', (_, design, laneIndex) => {
  let shape: BuiltShape;
  let lanes: Manifold[];
  beforeAll(async () => {
    shape = await buildShape(design, kernel);
    lanes = shape.lanes.map(({ mesh }) => bareSolid(mesh));
  });
  afterAll(() => {
    for (const solid of lanes) solid.delete();
  });

  it('leave one closed manifold with a hole under each stone, its normals true to its triangles', () => {
    const { mesh, volumeMm3 } = shape.lanes[laneIndex];
    const solid = lanes[laneIndex];
    expect(solid.status()).toBe('NoError');
    const parts = solid.decompose();
    expect(parts).toHaveLength(1);
    expect(solid.genus()).toBe(1 + shape.rows[0].count);
    expect(solid.volume()).toBeCloseTo(volumeMm3, 2);
    for (const part of parts) part.delete();
    const report = inspectMesh(mesh);
    expect(report.looseEdges).toBe(0);
    expect(report.normalLengthError).toBeLessThan(1e-5);
    expect(report.leastCosine).toBeGreaterThan(0.8);
  });

  it('touch neither metal nor each other, and keep the gap that is reported', () => {
    const stones = eachStone(shape).map(bareSolid);
    expect(stones.length).toBeGreaterThan(2);
    expect(shape.rows[0].gapMm).toBeGreaterThan(design.rows[0].leastGapMm - 1e-6);
    for (const metal of lanes) expect(commonVolume(kernel, stones, metal)).toBeLessThan(1e-9);
    for (const [i, stone] of stones.entries()) {
      if (i === 0) continue;
      const gap = stone.minGap(stones[i - 1], 0.5);
      expect(gap).toBeGreaterThan(shape.rows[0].gapMm - 1e-3);
      // the bound is near the truth: no stone is spread farther than it need be
      expect(gap).toBeLessThan(shape.rows[0].gapMm + 0.05);
    }
    for (const stone of stones) stone.delete();
  });

  it('are held: lifted by 0.06 mm they meet metal, set deeper by as much they meet the bearing', () => {
    const held = design.rows[0].setting.style === 'none' ? [-0.06] : [0.06, -0.06];
    for (const lift of held)
      expect(leastHold(kernel, shape, lanes[laneIndex], lift)).toBeGreaterThan(LEAST_HOLD_MM3);
  });

  it('pass the checks of the bench, with a claw of its own over each point that those between stones cannot cover', () => {
    const failed = shape.checks.filter(({ passed, severity }) => !passed && severity === 'error');
    expect(failed).toEqual([]);
    const guarded = shape.checks.find(({ rule }) => rule === 'guarded-points');
    const { cut, setting } = design.rows[0];
    const pointed = ['marquise-brilliant', 'princess', 'baguette'].includes(cut);
    if (pointed && setting.style !== 'none') expect(guarded).toMatchObject({ passed: true });
  });
});

async function codesOf(design: ShapeDesign): Promise<string[]> {
  const error = await buildShape(design, kernel).then(
    () => undefined,
    (e: unknown) => e,
  );
  if (error === undefined) return [];
  if (!(error instanceof ProblemError)) throw error;
  return error.problems.map(({ code }) => code);
}

describe('refused', () => {
  it('are claws that run into each other round the points of marquises set along the row', async () => {
    const row = {
      cut: 'marquise-brilliant',
      diameterMm: 1.6,
      lengthMm: 3.2,
      setting: claws(0.6, 0.22),
    } as const;
    expect(await codesOf(thirdRow(row))).toEqual(['claws-meet']);
  });

  it('are proportions that a cut does not have, and a length for a round one', async () => {
    expect(await codesOf(thirdRow({ cut: 'baguette', diameterMm: 1, lengthMm: 6 }))).toEqual([
      'cut-proportions',
    ]);
    expect(await codesOf(thirdRow({ cut: 'oval-brilliant', diameterMm: 2 }))).toEqual(['cut-proportions']);
    expect(await codesOf(thirdRow({ diameterMm: 1.5, lengthMm: 2 }))).toEqual(['length-of-round']);
  });

  it('are lanes too narrow for the corners of a stone', async () => {
    const row = { cut: 'princess', diameterMm: 4.36, lengthMm: 4.36, setting: { style: 'none' } } as const;
    expect(await codesOf(thirdRow(row))).toContain('stone-wider-than-lane');
  });

  it('are long stones whose ends stand off a tight curve', async () => {
    const row = { cut: 'baguette', diameterMm: 2, lengthMm: 8, setting: { style: 'none' } } as const;
    expect(await codesOf(thirdRow(row))).toContain('stone-not-seated');
  });
});

describe('a row that bends', () => {
  it('is spread wider by the turn of its stones, not by more than a tenth of a stone', async () => {
    const straight = cutStone('princess', 1.2, 1.2);
    const { rows } = await plannedShape(waveOfSquares(), kernel);
    const [a, b] = [0, 1].map((i) => [3, 7, 11].map((k) => rows[0].placements[12 * i + k]));
    const pitch = Math.hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2]);
    expect(pitch).toBeGreaterThan(straight.solid.lengthMm! + 0.12);
    expect(pitch).toBeLessThan(straight.solid.lengthMm! * 1.1 + 0.12);
  });
});

it('every cut has a usual proportion within its range', () => {
  for (const name of CUT_NAMES) {
    const { ratio } = CUTS.get(name)!;
    expect(ratio.usual).toBeGreaterThanOrEqual(ratio.least);
    expect(ratio.usual).toBeLessThanOrEqual(ratio.most);
  }
});
