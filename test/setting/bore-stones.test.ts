import fc from 'fast-check';
import { beforeAll, describe, expect, it } from 'vitest';
import type { RowDesign, ShapeDesign } from '../../pipeline/plan/design.ts';
import { ProblemError } from '../../pipeline/problem.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { loadSolidKernel, type SolidKernel } from '../../pipeline/setting/solid-kernel.ts';
import { inspectMesh } from '../band/closed-mesh.ts';
import { config, planOf, problemsOf } from '../plan/workspace.ts';
import { builtOrRefused } from './built-or-refused.ts';
import { expectSoundSet } from './sound-set.ts';
import { rowDesign, straightRowDesign } from './stone-designs.ts';

let kernel: SolidKernel;
beforeAll(async () => {
  kernel = await loadSolidKernel();
});

const flush = { style: 'flush', lipMm: 0.08 } as const;
const hidden = (row: Partial<RowDesign> = {}): Partial<RowDesign> => ({
  inside: true,
  diameterMm: 1.3,
  coverage: { kind: 'angles', anglesRad: [Math.PI] },
  holeShare: 0,
  setting: flush,
  ...row,
});

describe('a stone in the bore', () => {
  it('lies level with it in a closed seat, looks at the finger and cannot lift out', async () => {
    const shape = await buildShape(straightRowDesign(hidden()), kernel);
    const { leastCosine } = expectSoundSet(kernel, shape, 0, 1, 0.06);
    expect(leastCosine).toBeGreaterThan(0.8);
    const [{ stone, placements: m, count, inside }] = shape.rows;
    expect([count, inside]).toEqual([1, true]);
    // at the back, its axis upwards: the third column of its placement
    expect([m[2], m[6], m[10]].map((v) => Math.round(1e6 * v) / 1e6 + 0)).toEqual([0, 1, 0]);
    const table = Math.max(...stone.mesh.positions.filter((_, i) => i % 3 === 2));
    expect(-(m[7] + table * m[6])).toBeCloseTo(shape.innerDiameterMm / 2, 4);
    // under it is what the band's thickness leaves of its depth
    expect(shape.fits[0].underCuletMm).toBeCloseTo(1.9 - stone.depthMm, 4);
    expect(shape.checks.filter(({ severity, passed }) => severity === 'error' && !passed)).toEqual([]);
    const over = shape.checks.find(({ rule }) => rule === 'table-height')!;
    expect(Number.parseFloat(over.measured)).toBeCloseTo(0, 3);
  });

  it('takes as much metal as the same seat outside, but for what the band bends the other way', async () => {
    // chords stray from the surfaces to either side too
    const fine = { chordToleranceMm: 0.001 };
    const lost = async (row: Partial<RowDesign>) => {
      const bare = await buildShape(straightRowDesign({}, { rows: [], ...fine }), kernel);
      const set = await buildShape(straightRowDesign(hidden(row), fine), kernel);
      return bare.lanes[0].volumeMm3 - set.lanes[0].volumeMm3;
    };
    const [inside, outside] = [await lost({}), await lost({ inside: undefined })];
    expect(inside).toBeGreaterThan(0.5);
    // over an opening of radius a surfaces stray from its plane by x²/2R: ∬ = πa⁴/8R, into the cut and out of it
    const a = 0.6185;
    const bend = ((Math.PI * a ** 4) / 8) * (1 / 8.594 + 1 / 10.494);
    expect(inside - outside).toBeGreaterThan(0.8 * bend);
    expect(inside - outside).toBeLessThan(1.2 * bend);
  });

  const codesOf = async (design: ShapeDesign): Promise<string[]> => {
    const error = await buildShape(design, kernel).catch((e: unknown) => e);
    return error instanceof ProblemError ? error.problems.map(({ code }) => code) : [];
  };

  it('is refused where the band is too thin, a stone lies above it or letters run over it', async () => {
    expect(await codesOf(straightRowDesign(hidden({ diameterMm: 2.6 }), { thicknessMm: 1.5 }))).toContain(
      'row-too-deep',
    );
    const above = rowDesign({ name: 'outside', diameterMm: 1 });
    const both = (angle: number, outside: Partial<RowDesign> = {}) =>
      straightRowDesign(
        {},
        {
          rows: [
            { ...above, ...outside },
            rowDesign({ ...hidden({ coverage: { kind: 'angles', anglesRad: [angle] } }), name: 'secret' }),
          ],
          thicknessMm: 2.4,
        },
      );
    expect(await codesOf(both(0))).toContain('bore-stone-under-seat');
    expect(await codesOf(both(Math.PI, { coverage: { kind: 'arc', angleRad: 2 } }))).toEqual([]);
    const inside = {
      text: 'ALWAYS',
      heightMm: 1,
      depthMm: 0.1,
      style: 'regular',
      atRad: Math.PI,
    } as unknown as NonNullable<NonNullable<ShapeDesign['engraving']>['inside']>;
    expect(await codesOf(straightRowDesign(hidden(), { engraving: { inside } }))).toContain(
      'text-in-the-way',
    );
    const aside = { ...inside, atRad: 0 };
    expect(await codesOf(straightRowDesign(hidden(), { engraving: { inside: aside } }))).toEqual([]);
  });

  it('of any size on any band is refused with reasons or set in a closed solid', async () => {
    const any = fc.record({
      diameterMm: fc.double({ min: 0.8, max: 2.4, noNaN: true }),
      thicknessMm: fc.double({ min: 1.2, max: 2.6, noNaN: true }),
      comfortMm: fc.double({ min: 0, max: 0.3, noNaN: true }),
      domeMm: fc.double({ min: 0, max: 0.4, noNaN: true }),
      widthMm: fc.double({ min: 2, max: 6, noNaN: true }),
      angles: fc.array(fc.integer({ min: -180, max: 180 }), { minLength: 1, maxLength: 3 }),
      taper: fc.boolean(),
    });
    const tally = { built: 0, refused: 0 };
    await fc.assert(
      fc.asyncProperty(any, async ({ diameterMm, angles, comfortMm, domeMm, taper, ...band }) => {
        const anglesRad = angles.map((a) => (a * Math.PI) / 180);
        const design = straightRowDesign(hidden({ diameterMm, coverage: { kind: 'angles', anglesRad } }), {
          ...band,
          section: { name: 'court', domeMm, comfortMm, edgeMm: 0.2, boreEdgeMm: 0.15 },
          ...(taper && {
            taper: { widthMm: 0.8 * band.widthMm, thicknessMm: 0.9 * band.thicknessMm, seams: [] },
          }),
          chordToleranceMm: 0.04,
        });
        await builtOrRefused(design, kernel, tally, (shape) => {
          expect(inspectMesh(shape.lanes[0].mesh)).toMatchObject({ looseEdges: 0, genus: 1 });
          expect(shape.fits[0].underCuletMm).toBeGreaterThan(0);
        });
      }),
      { numRuns: 20 },
    );
    expect(tally.built).toBeGreaterThan(2);
    expect(tally.refused).toBeGreaterThan(2);
  });
});

describe('a row of templates with side: bore', () => {
  const text = (row: string) =>
    config({
      template: 'template: plain-court',
      overrides: `overrides: { rows: { secret: ${row} } }`,
      origins: 'origins: { diamond: natural }',
      treatments: '',
      grid: 'grid: { size: [ISO 54] }',
      shots: 'shots: [front]',
    });

  it('has closed seats without being told', async () => {
    const row =
      '{ lane: band, side: bore, diameter: 1.3 mm, coverage: [180 deg], setting: { style: flush } }';
    const [design] = Object.values((await planOf(text(row))).plan.shapes);
    expect(design.rows[0]).toMatchObject({ inside: true, holeShare: 0 });
    expect(design.rows[0]).not.toHaveProperty('azureShare');
  });

  it('is refused with claws, which the finger would feel, and with measures of holes', async () => {
    const row = (more: string) =>
      text(`{ lane: band, side: bore, diameter: 1.3 mm, coverage: [180 deg], ${more} }`);
    const claws = 'setting: { style: shared-claws, claw-diameter: 0.5 mm, claw-height: 0.2 mm }';
    expect((await problemsOf(row(claws)))[0]).toMatchObject({
      code: 'bore-setting',
      path: 'rows.secret.setting',
    });
    expect((await problemsOf(row('floor: 0.3 mm, setting: { style: flush }')))[0]).toMatchObject({
      code: 'bore-seat-closed',
    });
  });
});
