import fc from 'fast-check';
import { beforeAll, describe, expect, it } from 'vitest';
import { lanesOf } from '../../pipeline/band/lane.ts';
import { withPolishAllowance } from '../../pipeline/band/polish-allowance.ts';
import type { ShapeDesign } from '../../pipeline/plan/design.ts';
import type { GrooveDesign } from '../../pipeline/plan/seam-design.ts';
import { ProblemError } from '../../pipeline/problem.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { planSeamMarks } from '../../pipeline/setting/seam-marks.ts';
import { loadSolidKernel, type SolidKernel } from '../../pipeline/setting/solid-kernel.ts';
import { inspectMesh } from '../band/closed-mesh.ts';
import { seamedBand } from './marked-designs.ts';
import { expectSoundSet } from './sound-set.ts';

let kernel: SolidKernel;
beforeAll(async () => {
  kernel = await loadSolidKernel();
});

const OUTSIDE = 54 / (2 * Math.PI) + 1.8;

/** Area of a groove's section and depth of its centroid. The round one is a circular segment (any table of centroids). */
function section({ widthMm: w, depthMm: d, profile }: GrooveDesign): { area: number; centroid: number } {
  if (profile === 'v') return { area: (w * d) / 2, centroid: d / 3 };
  const rho = (w * w) / (8 * d) + d / 2;
  const phi = Math.asin(w / 2 / rho);
  const area = rho * rho * (phi - Math.sin(phi) * Math.cos(phi));
  const fromCentre = (4 * rho * Math.sin(phi) ** 3) / (3 * (2 * phi - Math.sin(2 * phi)));
  return { area, centroid: fromCentre - (rho - d) };
}

async function cutOf(design: ShapeDesign, bare: ShapeDesign): Promise<number[]> {
  const shape = await buildShape(design, kernel);
  for (const lane of [0, 1]) expectSoundSet(kernel, shape, lane, 1);
  const before = (await buildShape(bare)).lanes;
  return shape.lanes.map((lane, i) => before[i].volumeMm3 - lane.volumeMm3);
}

async function codesOf(design: ShapeDesign): Promise<string[][]> {
  const error = await buildShape(design, kernel).catch((e: unknown) => e);
  expect(error).toBeInstanceOf(ProblemError);
  return (error as ProblemError).problems.map((p) => [p.code, p.path]);
}

describe('a groove along a seam', () => {
  it('takes the volume of Pappus, half from either lane, both closed manifolds', async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.constantFrom('v', 'round'),
        fc.double({ min: 0.3, max: 0.9, noNaN: true }),
        fc.double({ min: 0.25, max: 0.5, noNaN: true }),
        async (profile, widthMm, share) => {
          const groove: GrooveDesign = { profile, widthMm, depthMm: share * widthMm };
          const fine = { chordToleranceMm: 0.004 };
          const cut = await cutOf(seamedBand({ groove }, fine), seamedBand({}, fine));
          const { area, centroid } = section(groove);
          const volume = 2 * Math.PI * (OUTSIDE - centroid) * area;
          expect((cut[0] + cut[1]) / volume).toBeCloseTo(1, 1.5);
          expect(cut[0] / cut[1]).toBeCloseTo(1, 1.5);
        },
      ),
      { numRuns: 3 },
    );
  });

  it('keeps its width square to a wave: its volume is that of the seam’s length', async () => {
    const wave = {
      kind: 'wave',
      atMm: 0,
      amplitudeMm: 0.6,
      periods: 4,
      sharpness: 0.2,
      phaseRad: 0,
    } as const;
    const groove: GrooveDesign = { profile: 'v', widthMm: 0.4, depthMm: 0.2 };
    const bare = seamedBand({}, { seams: [wave] });
    const cut = await cutOf({ ...bare, seams: [{ ...wave, marks: { seam: 'tide', groove } }] }, bare);
    const { curve } = lanesOf(bare)[0].high;
    const { area, centroid } = section(groove);
    // length of the seam at the depth of the section's centroid, by the trapezium rule, which is exact to all orders here
    const steps = 2000;
    let length = 0;
    for (let i = 0; i < steps; i++)
      length +=
        (Math.hypot(OUTSIDE - centroid, curve.slope((2 * Math.PI * i) / steps)) * 2 * Math.PI) / steps;
    expect((cut[0] + cut[1]) / (area * length)).toBeCloseTo(1, 1.7);
  });

  // edges of cutter and wall that coincide would leave flaps without thickness, at some tolerances and not at others
  it.each([
    ['v', 0.2, 0.6],
    ['round', 0.2, 0.6],
    ['round', 0.15, 0.3],
  ] as const)(
    'leaves closed surfaces along a wave at any tolerance (%s, %f mm deep)',
    async (profile, depthMm, amplitudeMm) => {
      const wave = {
        kind: 'wave',
        atMm: 0,
        amplitudeMm,
        periods: 4,
        sharpness: 0.2,
        phaseRad: 0,
      } as const;
      const groove: GrooveDesign = { profile, widthMm: 0.4, depthMm };
      for (const chordToleranceMm of [0.02, 0.018, 0.015, 0.012, 0.008]) {
        const design = seamedBand(
          {},
          { seams: [{ ...wave, marks: { seam: 'tide', groove } }], chordToleranceMm },
        );
        for (const { mesh } of (await buildShape(design, kernel)).lanes)
          expect(inspectMesh(mesh).looseEdges).toBe(0);
      }
    },
  );

  it('takes the place of the softening there and leaves that of other sides', () => {
    const lanes = [
      { name: 'near', recessMm: 0, softenMm: 0.2 },
      { name: 'far', recessMm: 0, softenMm: 0.15 },
    ];
    const soft = lanesOf(seamedBand({}, { lanes }));
    const cut = lanesOf(seamedBand({ groove: { profile: 'v', widthMm: 0.4, depthMm: 0.2 } }, { lanes }));
    expect([soft[0].high.outerSoften, soft[1].low.outerSoften, soft[1].low.mate?.outerSoften]).toEqual([
      0.2, 0.15, 0.2,
    ]);
    expect([cut[0].high.outerSoften, cut[1].low.outerSoften, cut[1].low.mate?.outerSoften]).toEqual([
      0, 0, 0,
    ]);
  });

  it('is deeper by what is left on for polishing, so that the finished surface has it as designed', async () => {
    for (const groove of [
      { profile: 'v', widthMm: 0.5, depthMm: 0.2 },
      { profile: 'round', widthMm: 0.5, depthMm: 0.15 },
    ] as const) {
      const design = seamedBand({ groove });
      const cast = withPolishAllowance(design, 0.05, []).seams[0].marks?.groove as GrooveDesign;
      expect(cast.depthMm).toBeCloseTo(groove.depthMm + 0.05, 12);
      // 0.05 mm below the cast surface the groove is as wide as designed
      if (groove.profile === 'v') expect((cast.widthMm * groove.depthMm) / cast.depthMm).toBeCloseTo(0.5, 12);
      else {
        const radius = ({ widthMm: w, depthMm: d }: GrooveDesign) => (w * w) / (8 * d) + d / 2;
        expect(radius(cast)).toBeCloseTo(radius(groove), 12);
      }
      expect(planSeamMarks(withPolishAllowance(design, 0.05, []), lanesOf(design)).problems).toEqual([]);
    }
  });

  it('is refused on a step, through the metal, in too tight a bend, or wider than its lanes', async () => {
    const groove: GrooveDesign = { profile: 'v', widthMm: 0.4, depthMm: 0.2 };
    const lanes = [
      { name: 'near', recessMm: 0.1, softenMm: 0 },
      { name: 'far', recessMm: 0, softenMm: 0 },
    ];
    expect(await codesOf(seamedBand({ groove }, { lanes }))).toEqual([
      ['groove-on-step', 'seams.mid.groove'],
    ]);
    const deep = { ...groove, widthMm: 2, depthMm: 1.7 };
    expect(await codesOf(seamedBand({ groove: deep }))).toEqual([['groove-through', 'seams.mid.groove']]);
    const wave = { kind: 'wave', atMm: 0, amplitudeMm: 0.4, periods: 30, sharpness: 0, phaseRad: 0 } as const;
    expect(await codesOf(seamedBand({}, { seams: [{ ...wave, marks: { seam: 'mid', groove } }] }))).toEqual([
      ['groove-too-tight', 'seams.mid.groove'],
    ]);
    const broad = { ...groove, widthMm: 4 };
    const codes = await codesOf(seamedBand({ groove: broad }));
    expect(codes[0]).toEqual(['marks-too-wide', 'lanes.far']);
  });

  it('is checked for the metal left under it, against the limit of cast walls or the config’s', async () => {
    const design = seamedBand({ groove: { profile: 'v', widthMm: 0.6, depthMm: 0.3 } });
    const check = async (limits = {}) =>
      (await buildShape(design, kernel, limits)).checks.find(({ rule }) => rule === 'groove-wall');
    expect(await check()).toMatchObject({ passed: true, limit: 'at least 0.40 mm', measured: '1.50 mm' });
    expect(await check({ 'groove-wall': 1.6 })).toMatchObject({ passed: false, severity: 'error' });
  });
});
