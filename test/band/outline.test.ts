import { beforeAll, describe, expect, it } from 'vitest';
import { buildLanes } from '../../pipeline/band/build-lanes.ts';
import { lanesOf, wholeBand } from '../../pipeline/band/lane.ts';
import { edgeCurve, middleCurve, widthExtremes } from '../../pipeline/band/outline.ts';
import { laneVolume } from '../../pipeline/band/pappus.ts';
import { withPolishAllowance } from '../../pipeline/band/polish-allowance.ts';
import { meshVolume } from '../../pipeline/band/welded-mesh.ts';
import type { ShapeDesign } from '../../pipeline/plan/design.ts';
import type { PeakSeam, WaveSeam } from '../../pipeline/plan/seam-design.ts';
import type { OutlineDesign } from '../../pipeline/plan/width-design.ts';
import { type CadKernel, loadCadKernel } from '../setting/cad-kernel.ts';
import { inspectMesh } from './closed-mesh.ts';
import { bandDesign, bandProblems, wavyDesign } from './designs.ts';
import { strayingOf } from './true-surface.ts';

const R = 54 / (2 * Math.PI);

const wave: WaveSeam = {
  kind: 'wave',
  atMm: 0,
  amplitudeMm: 0.8,
  periods: 3,
  sharpness: 0,
  phaseRad: 0,
};
const peak: PeakSeam = {
  kind: 'peak',
  atMm: 0,
  heightMm: 1.8,
  spanRad: 2.2,
  roundness: 0.4,
  phaseRad: 0,
};

/** The same design with an outline; what follows the width is told at twice the width. */
function outlined(design: ShapeDesign, outline: Partial<OutlineDesign>): ShapeDesign {
  const seams = design.seams.map((seam) =>
    seam.kind === 'wave' ? { ...seam, atMm: 2 * seam.atMm, amplitudeMm: 2 * seam.amplitudeMm } : seam,
  );
  return {
    ...design,
    outline: { measured: 'finger', other: { widthMm: 2 * design.widthMm, seams }, ...outline },
  };
}

describe('an outline', () => {
  it('that only moves the middle line shears the band, which leaves every lane its volume (Cavalieri)', () => {
    const straight = wavyDesign({ chordToleranceMm: 0.02 });
    const volumes = (design: ShapeDesign) => buildLanes(design).map(({ mesh }) => meshVolume(mesh));
    const [exact, swept] = [lanesOf(straight).map((lane) => laneVolume(lane)), volumes(straight)];
    for (const middle of [wave, peak]) {
      const moved = outlined(straight, { middle });
      lanesOf(moved).forEach((lane, i) => {
        expect(laneVolume(lane)).toBeCloseTo(exact[i], 9);
      });
      volumes(moved).forEach((volume, i) => {
        expect(Math.abs(volume / swept[i] - 1)).toBeLessThan(2e-3);
      });
    }
  });

  it('of a flat band with a width of its own has the volume (Ro² − R²)/2 · ∫ w dθ', () => {
    const width = { ...wave, atMm: 3.4, amplitudeMm: 0.7 };
    const design = outlined(bandDesign(), { width, middle: peak });
    const volume = ((R + 1.6) ** 2 - R ** 2) * Math.PI * 3.4;
    expect(laneVolume(wholeBand(design))).toBeCloseTo(volume, 9);
  });

  it('measured square keeps its width across the run: edges are as far apart as parallels to the middle line', () => {
    const design = outlined(bandDesign({ widthMm: 2.2 }), { middle: peak, measured: 'square' });
    const { least, most } = widthExtremes(design);
    expect(least.widthMm).toBeCloseTo(2.2, 9);
    expect(most.widthMm).toBeCloseTo(2.2, 9);
    // where the line is straight and steep, the distance of the edges' tangents in the plane unrolled at the outside
    const r = R + 1.6;
    const middle = middleCurve(design);
    const theta = 0.45;
    const size = Math.hypot(1, middle.slope(theta) / r);
    const [low, high] = [edgeCurve(design, -1).z(theta), edgeCurve(design, 1).z(theta)];
    expect((high - low) / size).toBeCloseTo(2.2, 9);
  });

  it('has edges whose slopes and bends are the derivatives of their places', () => {
    const design = outlined(bandDesign(), {
      middle: peak,
      width: { ...wave, atMm: 3.5, amplitudeMm: 0.4 },
      measured: 'square',
    });
    for (const side of [-1, 1] as const) {
      const { z, slope, bend } = edgeCurve(design, side);
      for (let theta = -3; theta < 3; theta += 0.13) {
        const h = 1e-5;
        expect(slope(theta)).toBeCloseTo((z(theta + h) - z(theta - h)) / (2 * h), 5);
        expect(bend(theta)).toBeCloseTo((slope(theta + h) - slope(theta - h)) / (2 * h), 2);
      }
    }
  });

  it('gives closed meshes that keep to the exact surface, seams and softened edges with them', () => {
    const design = outlined(wavyDesign(), { middle: { ...wave, phaseRad: 0.7 }, measured: 'square' });
    for (const { lane, mesh } of buildLanes(design)) {
      const { looseEdges, genus, leastCosine } = inspectMesh(mesh);
      expect({ looseEdges, genus }).toEqual({ looseEdges: 0, genus: 1 });
      expect(leastCosine).toBeGreaterThan(0.8);
      expect(strayingOf(mesh, lane, 17)).toBeLessThan(2 * design.chordToleranceMm);
    }
  });

  it('is refused where the band bends more tightly than half its width, with the place and the radius', () => {
    const sharp = { ...peak, heightMm: 3, roundness: 0.1, spanRad: 1 };
    const [problem] = bandProblems(outlined(bandDesign(), { middle: sharp, measured: 'square' }));
    expect(problem.code).toBe('outline-too-tight');
    expect(problem.received).toMatch(/mm at θ = /);
    expect(bandProblems(outlined(bandDesign(), { middle: sharp, measured: 'finger' }))).toEqual([]);
  });

  it('keeps its middle line under an allowance for polishing, which widens it on either side', () => {
    const around = { headMm: 6.5, shankMm: 2, gapMm: 0.1, edge: 'first', roundness: 1 } as const;
    const design = outlined(bandDesign({ widthMm: 2 }), { around, measured: 'square' });
    const grown = withPolishAllowance(design, 0.05, []);
    for (const theta of [0, 0.2, 0.5]) {
      expect(middleCurve(grown).z(theta)).toBeCloseTo(middleCurve(design).z(theta), 12);
    }
    expect(widthExtremes(grown).least.widthMm).toBeCloseTo(2.1, 9);
  });
});

describe('a band that runs round a head', () => {
  const head = { headMm: 6.5, shankMm: 2, gapMm: 0.15, edge: 'first', roundness: 1 } as const;

  it.each([1, 0.5, 0.2])(
    'of roundness %s clears it by just the gap, in the plane seen from above',
    (roundness) => {
      const design = outlined(bandDesign({ widthMm: 2 }), {
        around: { ...head, roundness },
        measured: 'square',
      });
      expect(bandProblems(design)).toEqual([]);
      const edge = edgeCurve(design, -1);
      const r = R + 1.6;
      let nearest = Number.POSITIVE_INFINITY;
      for (let theta = -1.5; theta <= 1.5; theta += 1e-4)
        nearest = Math.min(nearest, Math.hypot(r * Math.sin(theta), edge.z(theta) + 1 + head.shankMm / 2));
      expect(nearest - head.headMm / 2).toBeCloseTo(head.gapMm, 4);
      // beside the head the edges of both rings touch
      expect(edge.z(Math.PI)).toBeCloseTo(-1, 12);
    },
  );

  it('turns aside by more for a larger head, and not at all for one no wider than the shank', () => {
    const rise = (headMm: number) =>
      middleCurve(outlined(bandDesign({ widthMm: 2 }), { around: { ...head, headMm } })).z(0);
    expect(rise(8)).toBeGreaterThan(rise(6) + 0.9);
    expect(rise(1.5)).toBe(0);
  });

  it('says how near it comes where the span leaves it no room', () => {
    const around = { ...head, roundness: 0.3, spanRad: 0.5 };
    const found = bandProblems(outlined(bandDesign({ widthMm: 2 }), { around }));
    expect(found.map(({ code }) => code)).toEqual(['head-in-the-way']);
  });
});

describe('against Open CASCADE, which shares no code with ours', () => {
  let cad: CadKernel;
  beforeAll(async () => {
    cad = await loadCadKernel();
  });

  it('a wave of the whole band with a width of its own has the volume of a tube between two walls', () => {
    const design = outlined(bandDesign(), {
      middle: { ...wave, amplitudeMm: 0.6 },
      width: { ...wave, periods: 1, atMm: 3.2, amplitudeMm: 0.5, phaseRad: Math.PI / 2 },
    });
    // the same edges in the reader's own words: 0.6 sin 3θ ± (3.2 + 0.5 cos θ)/2
    const edge = (side: number) => (theta: number) =>
      0.6 * Math.sin(3 * theta) + (side * (3.2 + 0.5 * Math.cos(theta))) / 2;
    const [ri, ro] = [R, R + 1.6];
    const tube = cad.revolve([
      { from: [ri, -4], to: [ro, -4] },
      { from: [ro, -4], to: [ro, 4] },
      { from: [ro, 4], to: [ri, 4] },
      { from: [ri, 4], to: [ri, -4] },
    ]);
    const volumeBelow = (side: number) => {
      const parts = cad.split(tube, edge(side), [ri - 0.5, ro + 0.5]).map((part) => cad.volume(part, 1e-6));
      expect(parts).toHaveLength(2);
      return side < 0 ? Math.min(...parts) : Math.max(...parts);
    };
    // below the lower edge lies the smaller part, below the upper one the larger
    const between = volumeBelow(1) - volumeBelow(-1);
    const [{ mesh }] = buildLanes(design);
    expect(Math.abs(meshVolume(mesh) / between - 1)).toBeLessThan(1.5e-3);
    expect(laneVolume(wholeBand(design))).toBeCloseTo(between, 2);
  });
});
