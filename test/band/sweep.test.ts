import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { buildLanes } from '../../pipeline/band/build-lanes.ts';
import { lanesOf, wholeBand } from '../../pipeline/band/lane.ts';
import { laneVolume, sectionFacts } from '../../pipeline/band/pappus.ts';
import { meshVolume } from '../../pipeline/band/welded-mesh.ts';
import { anyDesign, manyLanes } from './any-design.ts';
import { inspectMesh } from './closed-mesh.ts';
import { bandDesign, bandProblems, wavyDesign } from './designs.ts';

describe('swept lanes', () => {
  it.each([
    ['a flat band with sharp edges', bandDesign()],
    [
      'a D-section with knife edges',
      bandDesign({ section: { name: 'd', domeMm: 1.6, comfortMm: 0, edgeMm: 0, boreEdgeMm: 0 } }),
    ],
    ['a softened wavy court band', wavyDesign()],
  ])('of %s are closed rings with unit outward normals', (_, design) => {
    for (const { mesh } of buildLanes(design)) {
      const report = inspectMesh(mesh);
      expect(report.looseEdges).toBe(0);
      expect(report.genus).toBe(1);
      expect(report.normalLengthError).toBeLessThan(1e-6);
      // softenings turn by 1.6 times as much from column to column as other surfaces
      expect(report.leastCosine).toBeGreaterThan(Math.cos(1.6 * 0.12));
    }
  });

  it('keep to the triangle budget: 30,000 to 70,000 for a two-lane band at default tolerance', () => {
    const triangles = buildLanes(wavyDesign()).reduce((sum, { mesh }) => sum + mesh.indices.length / 3, 0);
    expect(triangles).toBeGreaterThan(30_000);
    expect(triangles).toBeLessThan(70_000);
  });

  it('lie on the surface they stand for: vertices of the outside at the exact radius', () => {
    const [{ mesh }] = buildLanes(bandDesign());
    const radii = [];
    for (let i = 0; i < mesh.positions.length; i += 3)
      radii.push(Math.hypot(mesh.positions[i], mesh.positions[i + 1]));
    expect(Math.max(...radii)).toBeCloseTo(54 / (2 * Math.PI) + 1.6, 5);
    expect(Math.min(...radii)).toBeCloseTo(54 / (2 * Math.PI), 5);
  });

  it('share the lower part of the seam wall, triangle by triangle', () => {
    const [rail, field] = buildLanes(wavyDesign());
    const key = (p: number[]) => p.map((x) => Math.fround(x)).join();
    const triangles = ({ mesh }: typeof rail) => {
      const found = new Set<string>();
      for (let t = 0; t < mesh.indices.length; t += 3) {
        const corners = [0, 1, 2].map((k) =>
          key([...mesh.positions.subarray(3 * mesh.indices[t + k], 3 * mesh.indices[t + k] + 3)]),
        );
        found.add(corners.sort().join(' '));
      }
      return found;
    };
    const mine = triangles(rail);
    const shared = [...triangles(field)].filter((triangle) => mine.has(triangle)).length;
    const angles = new Set<string>();
    for (let i = 0; i < rail.mesh.positions.length; i += 3) {
      angles.add(Math.atan2(rail.mesh.positions[i], rail.mesh.positions[i + 1]).toFixed(5));
    }
    // two triangles for every step round the band and every shared row of the wall
    expect(shared).toBeGreaterThanOrEqual(2 * (angles.size - 2));
  });

  it('get coarser with a coarser tolerance', () => {
    const count = (chordToleranceMm: number) =>
      buildLanes(wavyDesign({ chordToleranceMm }))[0].mesh.indices.length;
    expect(count(0.03)).toBeLessThan(0.5 * count(0.008));
  });
});

describe('any design', () => {
  it('is either refused with reasons or becomes closed rings of the right volume', () => {
    let built = 0;
    fc.assert(
      fc.property(fc.oneof(anyDesign, manyLanes), (design) => {
        const problems = bandProblems(design);
        if (problems.length > 0) {
          for (const problem of problems) expect(problem.received).not.toContain('NaN');
          return;
        }
        built++;
        for (const { lane, mesh } of buildLanes(design)) {
          const report = inspectMesh(mesh);
          expect(report.looseEdges).toBe(0);
          expect(report.genus).toBe(1);
          expect(report.leastCosine).toBeGreaterThan(0.9);
          const volume = meshVolume(mesh);
          expect(volume).toBeGreaterThan(0);
          expect(Math.abs(volume / laneVolume(lane, 180) - 1)).toBeLessThan(0.2 * design.chordToleranceMm);
        }
      }),
      { numRuns: 40 },
    );
    // about a third of what is drawn can be built
    expect(built).toBeGreaterThan(4);
  });

  it('with a recess down to the bore under a step is refused by the wall that is left', () => {
    const section = {
      ...bandDesign().section,
      step: { sides: 'low' as const, widthMm: 0.6, depthMm: 0.3, softenMm: 0, footMm: 0 },
    };
    const [recessed, whole] = [0.85, 0.4].map((recessMm) =>
      bandProblems(
        bandDesign({ thicknessMm: 1.2, section, lanes: [{ name: 'band', recessMm, softenMm: 0 }] }),
      ),
    );
    // 1.2 − 0.3 − 0.85 mm of wall, of which 0.1 mm is asked for
    expect(recessed.map(({ code, received }) => `${code} ${received}`)).toContainEqual(
      expect.stringMatching(/^lane-too-shallow 0\.05 mm/),
    );
    expect(whole).toEqual([]);
  });

  it('that is accepted is parted without overlap or gap: its sections sum to the whole but for recess and softening', () => {
    const counts = new Map<number, number>();
    let inlays = 0;
    fc.assert(
      fc.property(
        fc.oneof(anyDesign, manyLanes, manyLanes),
        fc.double({ min: 0, max: 6.3, noNaN: true }),
        (design, theta) => {
          if (bandProblems(design).length > 0) return;
          counts.set(design.lanes.length, (counts.get(design.lanes.length) ?? 0) + 1);
          inlays += design.lanes.filter((l) => l.inlay).length;
          for (const lane of lanesOf(design)) expect(sectionFacts(lane, theta).area).toBeGreaterThan(0);
          const bare = { ...design, lanes: design.lanes.map((l) => ({ ...l, recessMm: 0, softenMm: 0 })) };
          let [area, moment] = [0, 0];
          for (const lane of lanesOf(bare)) {
            const facts = sectionFacts(lane, theta);
            area += facts.area;
            moment += facts.area * facts.centroidR;
          }
          const whole = sectionFacts(wholeBand(design), theta);
          expect(area).toBeCloseTo(whole.area, 9);
          expect(moment).toBeCloseTo(whole.area * whole.centroidR, 8);
        },
      ),
      { numRuns: 90 },
    );
    console.log(`accepted by lanes: ${JSON.stringify([...counts].sort())}, inlays: ${inlays}`);
    for (const lanes of [1, 2, 3, 4, 5]) expect(counts.get(lanes) ?? 0).toBeGreaterThan(0);
    expect((counts.get(6) ?? 0) + (counts.get(7) ?? 0)).toBeGreaterThan(0);
    expect(inlays).toBeGreaterThan(10);
  });
});
