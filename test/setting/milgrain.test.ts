import { beforeAll, describe, expect, it } from 'vitest';
import { lanesOf } from '../../pipeline/band/lane.ts';
import { besideBound, outsideAt } from '../../pipeline/band/outside-line.ts';
import type { ShapeDesign } from '../../pipeline/plan/design.ts';
import type { MilgrainDesign } from '../../pipeline/plan/seam-design.ts';
import { ProblemError } from '../../pipeline/problem.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { planSeamMarks } from '../../pipeline/setting/seam-marks.ts';
import { loadSolidKernel, type SolidKernel } from '../../pipeline/setting/solid-kernel.ts';
import { plainBand, seamedBand } from './marked-designs.ts';
import { expectSoundSet } from './sound-set.ts';
import { rowDesign } from './stone-designs.ts';

let kernel: SolidKernel;
beforeAll(async () => {
  kernel = await loadSolidKernel();
});

const BEADS: MilgrainDesign = { beadMm: 0.6, pitchMm: 0.64, lane: 'far' };
const OUTSIDE = 54 / (2 * Math.PI) + 1.8;
const WAVE = { kind: 'wave', atMm: 0, amplitudeMm: 0.5, periods: 3, sharpness: 0.4, phaseRad: 0.2 } as const;

function waved(milgrain: MilgrainDesign): ShapeDesign {
  return seamedBand(
    {},
    {
      section: { name: 'court', domeMm: 0.3, comfortMm: 0.15, edgeMm: 0.25, boreEdgeMm: 0.2 },
      seams: [{ ...WAVE, marks: { seam: 'tide', milgrain } }],
      lanes: [
        { name: 'near', recessMm: 0.1, softenMm: 0.15 },
        { name: 'far', recessMm: 0, softenMm: 0.15 },
      ],
    },
  );
}

describe('a line of beads', () => {
  it('adds half a ball each and what lies under it, fused to one lane; the other stays as it was to the last bit', async () => {
    const design = seamedBand({ milgrain: BEADS });
    const before = (await buildShape(seamedBand({}))).lanes;
    const shape = await buildShape(design, kernel);
    const [milgrain] = shape.marks!.milgrain;
    expectSoundSet(kernel, shape, 1, 1);
    // a whole number of beads on the circle of the outside, as many as the pitch allows
    expect(milgrain.count).toBe(Math.floor((2 * Math.PI * OUTSIDE) / BEADS.pitchMm));
    expect(milgrain.pitchMm * milgrain.count).toBeCloseTo(2 * Math.PI * OUTSIDE, 3);
    // half a ball over the tangent plane, and between plane and cylinder ∫ x²/2R over the disc = πr⁴/8R
    const r = BEADS.beadMm / 2;
    const bead = (2 / 3) * Math.PI * r ** 3 + (Math.PI * r ** 4) / (8 * OUTSIDE);
    const added = shape.lanes[1].volumeMm3 - before[1].volumeMm3;
    expect(added / (milgrain.count * bead)).toBeCloseTo(1, 1.5);
    expect(shape.lanes[0].mesh.positions).toEqual(before[0].mesh.positions);
  });

  it('keeps one distance by arc length along a wave on a domed band, and stays clear of the seam', () => {
    const design = waved({ ...BEADS, beadMm: 0.35, pitchMm: 0.37 });
    const lanes = lanesOf(design);
    const { milgrains, problems } = planSeamMarks(design, lanes);
    expect(problems).toEqual([]);
    const [{ frames, pitchMm, lane }] = milgrains;
    const line = besideBound(lane, lane.low, 0.195)!;
    // the line's own length between beads by fine chords, apart from the table it was laid out with
    for (const k of [0, 7, 40, frames.length - 1]) {
      let length = 0;
      const parts = 200;
      const point = (s: number) => {
        const { theta, z } = line.at(Math.min(s, line.lengthMm));
        const { r } = outsideAt(lane, theta, z);
        return [r * Math.sin(theta), r * Math.cos(theta), z];
      };
      for (let i = 0; i < parts; i++) {
        const a = point((k + i / parts) * pitchMm);
        const b = point((k + (i + 1) / parts) * pitchMm);
        length += Math.hypot(b[0] - a[0], b[1] - a[1], b[2] - a[2]);
      }
      expect(length).toBeCloseTo(pitchMm, 3);
      const at = point(k * pitchMm);
      expect(Math.hypot(...frames[k].origin.map((v, i) => v - at[i]))).toBeLessThan(1e-6);
    }
    const { curve } = lane.low;
    for (const { origin } of frames) {
      const r = Math.hypot(origin[0], origin[1]);
      const theta = Math.atan2(origin[0], origin[1]);
      // the nearest point of the seam, on the outside unrolled
      let nearest = Number.POSITIVE_INFINITY;
      for (let d = -0.06; d <= 0.06; d += 1e-3)
        nearest = Math.min(nearest, Math.hypot(r * d, curve.z(theta + d) - origin[2]));
      expect(nearest).toBeGreaterThan(0.35 / 2);
      expect(nearest).toBeLessThan(0.35 / 2 + 0.04);
    }
  });

  it('runs on a softened, recessed wave as one closed manifold, on the higher lane unless told', async () => {
    const { lane: _, ...open } = BEADS;
    const shape = await buildShape(waved(open), kernel);
    expect(shape.marks!.milgrain[0].lane).toBe('far');
    expectSoundSet(kernel, shape, 1, 1);
  });

  it('runs inside both edges of a band, under 150 000 triangles at the usual tolerance', async () => {
    const edgeMilgrain = { beadMm: 0.35, pitchMm: 0.37 };
    const design = plainBand({ edgeMilgrain, chordToleranceMm: 0.005 });
    const shape = await buildShape(design, kernel);
    expect(shape.marks!.milgrain.map((m) => [m.along, m.count])).toEqual([
      ['edge', 176],
      ['edge', 176],
    ]);
    expect(shape.lanes[0].mesh.indices.length / 3).toBeLessThan(150_000);
    expectSoundSet(kernel, shape, 0, 1);
  });

  it('is refused where it would stand in a seat, crowd its lane, or where the seam bends too tightly', async () => {
    const codes = async (design: ShapeDesign) => {
      const error = await buildShape(design, kernel).catch((e: unknown) => e);
      expect(error).toBeInstanceOf(ProblemError);
      return (error as ProblemError).problems.map((p) => [p.code, p.path]);
    };
    const row = rowDesign({ lane: 'far', diameterMm: 1.3, setting: { style: 'none' } });
    expect(await codes(seamedBand({ milgrain: BEADS }, { rows: [row] }))).toEqual([
      ['milgrain-in-seat', 'seams.mid.milgrain'],
    ]);
    const wide = { beadMm: 1, pitchMm: 1.1, lane: 'far' };
    expect(await codes({ ...seamedBand({ milgrain: wide }), edgeMilgrain: wide })).toEqual([
      ['marks-too-wide', 'lanes.far'],
    ]);
    const seams = [{ ...WAVE, periods: 45, amplitudeMm: 0.4, marks: { seam: 'tide', milgrain: BEADS } }];
    expect(await codes(seamedBand({}, { seams }))).toEqual([['milgrain-too-tight', 'seams.tide.milgrain']]);
  });
});
