import fc from 'fast-check';
import { beforeAll, describe, expect, it } from 'vitest';
import { faceDrawing } from '../../pipeline/papers/face-drawing.ts';
import type { RowDesign, ShapeDesign } from '../../pipeline/plan/design.ts';
import { ProblemError } from '../../pipeline/problem.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { loadSolidKernel, type SolidKernel } from '../../pipeline/setting/solid-kernel.ts';
import { localeOf } from '../../pipeline/words/locale.ts';
import { inspectMesh } from '../band/closed-mesh.ts';
import { config, planOf, problemsOf } from '../plan/workspace.ts';
import { builtOrRefused } from './built-or-refused.ts';
import { plannedShape } from './planned-shape.ts';
import { expectSoundSet } from './sound-set.ts';
import { rowDesign, straightRowDesign } from './stone-designs.ts';

let kernel: SolidKernel;
beforeAll(async () => {
  kernel = await loadSolidKernel();
});

const beside = (row: Partial<RowDesign> = {}): Partial<RowDesign> => ({
  face: 'second',
  diameterMm: 1.2,
  coverage: { kind: 'arc', angleRad: 1.6 },
  leastGapMm: 0.4,
  holeShare: 0,
  setting: { style: 'flush', lipMm: 0.08 },
  ...row,
});
const WIDE = { widthMm: 4, thicknessMm: 2.2 };

describe('stones in a side face', () => {
  it.each(['first', 'second'] as const)(
    'at the %s edge lie level with it and cannot lift out',
    async (face) => {
      const shape = await buildShape(straightRowDesign(beside({ face }), WIDE), kernel);
      expectSoundSet(kernel, shape, 0, 1, 0.05);
      const [{ placements, count, stone }] = shape.rows;
      const table = Math.max(...stone.mesh.positions.filter((_, i) => i % 3 === 2));
      const way = face === 'second' ? 1 : -1;
      // bore 17.189 mm wide; the face runs between edges rounded by 0.15 at the bore and 0.2 outside
      const middle = shape.innerDiameterMm / 2 + (0.15 + 2.2 - 0.2) / 2;
      const angles: number[] = [];
      for (let i = 0; i < count; i++) {
        const m = placements.subarray(12 * i, 12 * i + 12);
        expect([m[2], m[6], m[10]].map((v) => Math.round(1e9 * v) / 1e9 + 0)).toEqual([0, 0, way]);
        expect(way * m[11] + table).toBeCloseTo(2, 7);
        expect(Math.hypot(m[3], m[7])).toBeCloseTo(middle, 9);
        angles.push(Math.atan2(m[3], m[7]));
      }
      // as many as chords of diameter and gap leave on the circle, ends within the arc; evenly and centred
      const step = 2 * Math.asin(1.6 / 2 / middle);
      const room = 1.6 - 2 * Math.asin(0.6 / middle);
      expect(count).toBe(1 + Math.floor(room / step));
      for (const [i, angle] of angles.entries()) expect(angle).toBeCloseTo((i - (count - 1) / 2) * step, 9);
      // behind the culets is what the width leaves; above the seats what half the face leaves
      expect(shape.fits[0].underCuletMm).toBeCloseTo(4 - stone.depthMm, 4);
      expect(shape.checks.filter(({ severity, passed }) => severity === 'error' && !passed)).toEqual([]);
      expect(
        Number.parseFloat(shape.checks.find(({ rule }) => rule === 'table-height')!.measured),
      ).toBeCloseTo(0);
    },
  );

  it('takes out as much as the same cutters take from a plate', async () => {
    const fine = { ...WIDE, chordToleranceMm: 0.002 };
    const lost = async (row: Partial<RowDesign>, band: Partial<ShapeDesign>) => {
      const bare = await buildShape(straightRowDesign({}, { ...band, rows: [] }), kernel);
      const set = await buildShape(straightRowDesign(row, band), kernel);
      return (bare.lanes[0].volumeMm3 - set.lanes[0].volumeMm3) / set.rows[0].count;
    };
    const side = await lost(beside(), fine);
    // outside on a band so wide round that it is as good as flat over an opening
    const outside = await lost(beside({ face: undefined, coverage: { kind: 'angles', anglesRad: [0] } }), {
      ...fine,
      circumferenceMm: 400,
    });
    expect(side / outside).toBeGreaterThan(0.99);
    expect(side / outside).toBeLessThan(1.01);
  });

  const problems = async (design: ShapeDesign) => {
    const error = await buildShape(design, kernel).catch((e: unknown) => e);
    return error instanceof ProblemError ? error.problems : [];
  };
  const codes = async (design: ShapeDesign) => (await problems(design)).map(({ code }) => code);

  it('are refused where the band is too thin or narrow, with what is left and where', async () => {
    const thin = await problems(
      straightRowDesign(beside({ diameterMm: 1.6 }), { ...WIDE, thicknessMm: 1.6 }),
    );
    expect(thin.map(({ code }) => code)).toContain('stone-wider-than-lane');
    expect(thin[0].received).toMatch(/mm beside the stone at θ = /);
    expect(await codes(straightRowDesign(beside(), { ...WIDE, widthMm: 0.65 }))).toContain('row-too-deep');
  });

  it('are refused on lanes that have no side there, and at stepped edges', async () => {
    const two = {
      ...WIDE,
      seams: [{ kind: 'straight', atMm: 0 } as const],
      lanes: ['all', 'other'].map((name) => ({ name, recessMm: 0, softenMm: 0.1 })),
    };
    expect(await codes(straightRowDesign(beside(), two))).toEqual(['face-not-of-lane']);
    expect(await codes(straightRowDesign(beside({ face: 'first' }), two))).toEqual([]);
  });

  it('keep clear of stones that are set from outside and of those in the other face', async () => {
    const both = (widthMm: number, outside: Partial<RowDesign>) =>
      straightRowDesign(
        {},
        {
          widthMm,
          thicknessMm: 2.2,
          rows: [rowDesign({ name: 'top', ...outside }), rowDesign({ ...beside(), name: 'side' })],
        },
      );
    const flush: Partial<RowDesign> = { diameterMm: 1.2, setting: { style: 'flush', lipMm: 0.08 } };
    expect(await codes(both(2.4, flush))).toContain('face-stone-in-seat');
    expect(await codes(both(5, flush))).toEqual([]);
    const faces = (widthMm: number) => both(widthMm, beside({ face: 'first' }));
    // two stones of 0.7 mm each, back to back, and the row's gap of 0.4 mm between the spheres that hold them
    expect(await codes(faces(1.8))).toEqual(['stones-collide']);
    expect(await codes(faces(2.2))).toEqual([]);
  });

  it('have a drawing of their face, each in its place', async () => {
    const design = straightRowDesign(beside(), WIDE);
    const drawing = faceDrawing(design, 'second', localeOf('en'), 2);
    const circles = [...drawing.matchAll(/<circle[^>]* cx="([\d.]+)" cy="([\d.]+)" r="([\d.]+)"/g)];
    const shape = await plannedShape(design, kernel);
    expect(circles).toHaveLength(shape.rows[0].count);
    for (const [, , , r] of circles) expect(Number(r)).toBeCloseTo(1.2, 3);
    expect(faceDrawing(design, 'first', localeOf('en'), 2)).not.toContain('<circle');
  });

  it('of any size in any band are refused with reasons or set in a closed solid', async () => {
    const any = fc.record({
      diameterMm: fc.double({ min: 0.7, max: 2, noNaN: true }),
      thicknessMm: fc.double({ min: 1.4, max: 3, noNaN: true }),
      widthMm: fc.double({ min: 1.2, max: 6, noNaN: true }),
      domeMm: fc.double({ min: 0, max: 0.4, noNaN: true }),
      offsetMm: fc.double({ min: -0.3, max: 0.3, noNaN: true }),
      full: fc.boolean(),
      face: fc.constantFrom('first' as const, 'second' as const),
      taper: fc.boolean(),
    });
    const tally = { built: 0, refused: 0 };
    await fc.assert(
      fc.asyncProperty(any, async ({ diameterMm, offsetMm, full, face, taper, domeMm, ...band }) => {
        const coverage: RowDesign['coverage'] = full ? { kind: 'full' } : { kind: 'arc', angleRad: 1 };
        const design = straightRowDesign(beside({ diameterMm, offsetMm, face, coverage }), {
          ...band,
          section: { name: 'court', domeMm, comfortMm: 0.1, edgeMm: 0.15, boreEdgeMm: 0.15 },
          ...(taper && {
            taper: { widthMm: 0.8 * band.widthMm, thicknessMm: 0.9 * band.thicknessMm, seams: [] },
          }),
          chordToleranceMm: 0.04,
        });
        await builtOrRefused(design, kernel, tally, (shape) => {
          expect(inspectMesh(shape.lanes[0].mesh)).toMatchObject({ looseEdges: 0, genus: 1 });
          expect(shape.fits[0].underCuletMm).toBeGreaterThan(0);
          expect(shape.fits[0].wallMm).toBeGreaterThan(-1);
        });
      }),
      { numRuns: 15 },
    );
    expect(tally.built).toBeGreaterThan(1);
    expect(tally.refused).toBeGreaterThan(1);
  });
});

describe('a row of templates in side faces', () => {
  const text = (row: string) =>
    config({
      template: 'template: plain-court',
      overrides: `overrides: { thickness: 2.6 mm, rows: { light: ${row} } }`,
      origins: 'origins: { diamond: natural, ruby: natural }',
      treatments: 'treatments: { ruby: untreated }',
      grid: 'grid: { size: [ISO 54] }',
      shots: 'shots: [front]',
    });
  const row = (more: string) => text(`{ lane: band, diameter: 1.2 mm, ${more} }`);

  it('is one row at an edge and two at both, which wear one stone', async () => {
    const flush = 'setting: { style: flush }, stone: ruby';
    const { plan } = await planOf(row(`side: both-edges, ${flush}`));
    const [design] = Object.values(plan.shapes);
    expect(design.rows.map(({ name, face, holeShare }) => [name, face, holeShare])).toEqual([
      ['light', 'first', 0],
      ['light-2', 'second', 0],
    ]);
    expect(plan.variants[0].dress.stones).toEqual(['ruby', 'ruby']);
    const [one] = Object.values((await planOf(row(`side: second-edge, ${flush}`))).plan.shapes);
    expect(one.rows.map(({ name, face }) => [name, face])).toEqual([['light', 'second']]);
  });

  it('is refused with claws, holes and unequal stones in both faces', async () => {
    const of = async (more: string) => (await problemsOf(row(more))).map(({ code }) => code);
    expect(
      await of(
        'side: first-edge, setting: { style: shared-claws, claw-diameter: 0.5 mm, claw-height: 0.2 mm }',
      ),
    ).toContain('face-setting');
    expect(await of('side: first-edge, floor: 0.3 mm, setting: { style: flush }')).toContain(
      'face-seat-closed',
    );
    expect(await of('side: both-edges, alternate: [{ stone: ruby }], setting: { style: flush }')).toContain(
      'both-edges-of-unequal',
    );
  });
});
