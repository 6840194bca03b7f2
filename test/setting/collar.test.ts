import fc from 'fast-check';
import { beforeAll, describe, expect, it } from 'vitest';
import { meshVolume } from '../../pipeline/band/welded-mesh.ts';
import type { RowDesign, ShapeDesign } from '../../pipeline/plan/design.ts';
import { ProblemError } from '../../pipeline/problem.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { type Collar, collarOutside } from '../../pipeline/setting/collar.ts';
import { collarMesh } from '../../pipeline/setting/collar-solids.ts';
import { loadSolidKernel, type SolidKernel } from '../../pipeline/setting/solid-kernel.ts';
import type { Frame } from '../../pipeline/setting/stone.ts';
import { expectSoundSet } from './sound-set.ts';
import { straightRowDesign } from './stone-designs.ts';

let kernel: SolidKernel;
beforeAll(async () => {
  kernel = await loadSolidKernel();
});

const BEZEL = { style: 'bezel', wallMm: 0.5, lipMm: 0.15, taperRad: 0.38, openShare: 0.5 } as const;
const HEAD = {
  style: 'head',
  claws: 4,
  clawDiameterMm: 0.9,
  clawHeightMm: 0.5,
  wallMm: 0.5,
  taperRad: 0.46,
} as const;
const TOP = { kind: 'arc', angleRad: 1 } as const;

/** A larger stone over a band of its own width. */
function raised(
  setting: RowDesign['setting'],
  row: Partial<RowDesign> = {},
  change: Partial<ShapeDesign> = {},
) {
  return straightRowDesign(
    {
      diameterMm: 4,
      count: 1,
      leastGapMm: 1.4,
      coverage: TOP,
      setDepthMm: -1.9,
      holeShare: 0.25,
      setting,
      ...row,
    },
    { thicknessMm: 2, widthMm: 4.2, ...change },
  );
}
const small = { diameterMm: 2, setDepthMm: -0.4, count: 3 };
const court = { name: 'court', domeMm: 0.3, comfortMm: 0.1, edgeMm: 0.25, boreEdgeMm: 0.2 } as const;

describe.each([
  ['a tapered bezel', raised(BEZEL)],
  ['three straight bezels on a court band', raised({ ...BEZEL, taperRad: 0 }, small, { section: court })],
  ['a bezel open along the row', raised({ ...BEZEL, open: 'along' })],
  ['a bezel open across the row', raised({ ...BEZEL, open: 'across' })],
  ['a bezel that closes below', raised(BEZEL, { holeShare: 0 })],
  ['a head of four claws', raised(HEAD)],
  ['a head of six claws with talons', raised({ ...HEAD, claws: 6, tip: 'talon' })],
])('%s', (_, design) => {
  it('is one closed solid with the band, of genus 1 and one hole a stone, and holds every stone', async () => {
    const shape = await buildShape(design, kernel);
    const [row] = design.rows;
    const { leastCosine } = expectSoundSet(
      kernel,
      shape,
      0,
      1 + (row.holeShare > 0 ? shape.rows[0].count : 0),
      0.12,
    );
    expect(leastCosine).toBeGreaterThan(0.8);
    expect(shape.checks.filter(({ severity, passed }) => severity === 'error' && !passed)).toEqual([]);
    // the girdle stands as far over the band as the row says
    const m = shape.rows[0].placements;
    const over = Math.hypot(m[3], m[7]) - shape.innerDiameterMm / 2 - design.thicknessMm;
    if (shape.rows[0].count === 1) expect(over).toBeCloseTo(-row.setDepthMm, 6);
  });
});

it('a bezel adds a cone’s frustum and a quarter ellipse turned about its axis (Pappus), less what the stone takes', () => {
  const collar: Collar = {
    radius: 2.5,
    slope: 0.4,
    lip: { radius: 1.8, height: 0.25, topRadius: 1.9, topHeight: 0.4 },
    rim: 0,
    feet: [-2],
    beside: 1,
    wall: 0.5,
  };
  const place: Frame = { origin: [1, 9, 2], x: [1, 0, 0], y: [0, 0, -1], axis: [0, 1, 0] };
  const base = collarOutside(collar, -2);
  expect(base).toBeCloseTo(1.7, 12);
  const frustum = ((Math.PI * 2) / 3) * (2.5 ** 2 + 2.5 * base + base ** 2);
  const [a, b] = [0.6, 0.4];
  const ellipse = (Math.PI * a * b) / 4;
  const turned = 2 * Math.PI * (1.9 + (4 * a) / (3 * Math.PI)) * ellipse;
  const volume = frustum + turned + Math.PI * 1.9 ** 2 * b;
  expect(meshVolume(collarMesh(collar, place, -2, 1e-5)) / volume).toBeCloseTo(1, 4);
  // within the chord tolerance of the radius everywhere
  const { positions } = collarMesh(collar, place, -2, 0.005);
  for (let i = 0; i < positions.length; i += 3) {
    const [x, y, z] = [positions[i] - 1, positions[i + 1] - 9, positions[i + 2] - 2];
    if (y < -1e-6) expect(Math.hypot(x, z)).toBeLessThan(collarOutside(collar, y) + 1e-5);
  }
});

it('a mirror image of a head and of a half bezel has the same volume', async () => {
  for (const setting of [HEAD, { ...BEZEL, open: 'along' as const }]) {
    const at = async (z: number) => {
      const design = raised(setting, { diameterMm: 2.4, setDepthMm: -1 }, { widthMm: 5 });
      const section = { ...design.section, name: 'd' as const, domeMm: 0.3, crestMm: z };
      return (await buildShape({ ...design, section }, kernel)).lanes[0].volumeMm3;
    };
    expect((await at(0.4)) / (await at(-0.4))).toBeCloseTo(1, 5);
  }
});

it('any collar is one closed solid with the band and clear of its stones, or is refused with a measure', async () => {
  let built = 0;
  const mm = (min: number, max: number) => fc.double({ min, max, noNaN: true });
  await fc.assert(
    fc.asyncProperty(
      fc.record({
        diameterMm: mm(1.2, 6),
        over: mm(0.1, 1),
        taperRad: mm(0, 0.75),
        wallMm: mm(0.2, 0.9),
        widthMm: mm(2.5, 7),
        thicknessMm: mm(1.2, 2.6),
        holeShare: fc.constantFrom(0, 0.2, 0.5),
        circumferenceMm: mm(46, 68),
      }),
      fc.oneof(
        fc.record({
          style: fc.constant('bezel'),
          lipMm: mm(0.05, 0.3),
          open: fc.constantFrom('along', 'across'),
        }),
        fc.record({ style: fc.constant('head'), claws: fc.constantFrom(4, 6), clawDiameterMm: mm(0.4, 1.1) }),
      ),
      async ({ diameterMm, over, taperRad, wallMm, holeShare, ...band }, kind) => {
        const own = { wallMm, taperRad, openShare: 0.5, clawHeightMm: 0.12 * diameterMm, ...kind };
        const row = { diameterMm, holeShare, setDepthMm: -over * diameterMm * 0.6 };
        const design = raised(own as RowDesign['setting'], row, { ...band, chordToleranceMm: 0.05 });
        const shape = await buildShape(design, kernel).catch((error: unknown) => {
          expect(error).toBeInstanceOf(ProblemError);
          for (const { received } of (error as ProblemError).problems) expect(received).toMatch(/\d/);
        });
        if (!shape) return;
        built++;
        expectSoundSet(kernel, shape, 0, 1 + (holeShare > 0 ? 1 : 0));
      },
    ),
    { numRuns: 40, seed: 7 },
  );
  expect(built).toBeGreaterThan(4);
});

describe('collars', () => {
  it.each([
    ['collar-not-round', BEZEL, { cut: 'princess', lengthMm: 4 }],
    ['bezel-lip', { ...BEZEL, lipMm: 1.5 }, {}],
    ['collars-too-close', BEZEL, { ...small, leastGapMm: 0.9 }],
    ['collar-off-lane', { ...BEZEL, taperRad: 0 }, {}],
    ['collar-too-thin', { ...BEZEL, taperRad: 0.75 }, { holeShare: 0.6 }],
    ['collar-through-band', { ...HEAD, taperRad: 0 }, { diameterMm: 5.4, setDepthMm: -3, holeShare: 0.1 }],
  ] as [string, RowDesign['setting'], Partial<RowDesign>][])(
    'are refused: %s',
    async (code, setting, row) => {
      const thin = code === 'collar-through-band' ? { thicknessMm: 0.6, widthMm: 8 } : {};
      const error = await buildShape(raised(setting, row, thin), kernel).catch((e: unknown) => e);
      expect(error).toBeInstanceOf(ProblemError);
      expect((error as ProblemError).problems.map((p) => p.code)).toContain(code);
    },
  );

  it('stand clear of the stones of other rows', async () => {
    const design = raised(BEZEL, { coverage: { kind: 'angles', anglesRad: [0] }, count: 'fit' });
    const [row] = design.rows;
    const beside = (angle: number): ShapeDesign => ({
      ...design,
      rows: [
        row,
        {
          ...row,
          name: 'beside',
          diameterMm: 1.3,
          setDepthMm: 0,
          leastGapMm: 0.1,
          coverage: { kind: 'angles', anglesRad: [angle] },
          setting: { style: 'flush', lipMm: 0.08 },
        },
      ],
    });
    const error = await buildShape(beside(0.3), kernel).catch((e: unknown) => e);
    expect((error as ProblemError).problems.map((p) => p.code)).toContain('collar-in-stone');
    await expect(buildShape(beside(0.6), kernel)).resolves.toBeDefined();
  });
});
