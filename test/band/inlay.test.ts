import { describe, expect, it } from 'vitest';
import { buildLanes } from '../../pipeline/band/build-lanes.ts';
import { lanesOf } from '../../pipeline/band/lane.ts';
import { bandSectionFacts, laneVolume, pappusVolume, sectionFacts } from '../../pipeline/band/pappus.ts';
import { withPolishAllowance } from '../../pipeline/band/polish-allowance.ts';
import { midRadius } from '../../pipeline/band/profile.ts';
import { meshVolume } from '../../pipeline/band/welded-mesh.ts';
import type { LaneDesign, ShapeDesign } from '../../pipeline/plan/design.ts';
import type { SeamDesign } from '../../pipeline/plan/seam-design.ts';
import { inspectMesh } from './closed-mesh.ts';
import { bandDesign, bandProblems } from './designs.ts';

const lane = (name: string, change: Partial<LaneDesign> = {}): LaneDesign => ({
  name,
  recessMm: 0,
  softenMm: 0,
  ...change,
});
const straight = (atMm: number): SeamDesign => ({ kind: 'straight', atMm });

/** A flat band with sharp edges and a strip in its middle: width 6, thickness 2, the strip 2 wide and 0.8 deep. */
function inlaid(change: Partial<ShapeDesign> = {}): ShapeDesign {
  return bandDesign({
    widthMm: 6,
    thicknessMm: 2,
    seams: [straight(-1), straight(1)],
    lanes: [lane('near'), lane('strip', { inlay: { depthMm: 0.8, bed: 'near' } }), lane('far')],
    ...change,
  });
}

/** Every edge softened, a domed section, wavy seams: 16 pieces of outline on the bed. */
function softened(change: Partial<ShapeDesign> = {}): ShapeDesign {
  const wave = { kind: 'wave', amplitudeMm: 0.4, periods: 5, sharpness: 0.4, phaseRad: 0.3 } as const;
  return inlaid({
    section: { name: 'court', domeMm: 0.3, comfortMm: 0.2, edgeMm: 0.3, boreEdgeMm: 0.2 },
    seams: [
      { ...wave, atMm: -1.1 },
      { ...wave, atMm: 1.1, phaseRad: 1 },
    ],
    lanes: [
      lane('near', { softenMm: 0.15 }),
      lane('strip', { softenMm: 0.12, recessMm: 0.1, inlay: { depthMm: 0.8, bed: 'far' } }),
      lane('far', { softenMm: 0.15 }),
    ],
    ...change,
  });
}

const volumes = (design: ShapeDesign) => lanesOf(design).map((l) => laneVolume(l));
const sum = (values: number[]) => values.reduce((a, b) => a + b, 0);
const washer = (width: number, from: number, to: number) => Math.PI * width * (to * to - from * from);

describe('an inlay', () => {
  const bore = 54 / (2 * Math.PI);
  const outside = bore + 2;

  it('of a flat band has the volumes of rings of rectangular section (Pappus: V = π·w·(R² − r²))', () => {
    const [near, strip, far] = volumes(inlaid());
    expect(strip).toBeCloseTo(washer(2, outside - 0.8, outside), 8);
    expect(near).toBeCloseTo(washer(2, bore, outside) + washer(2, bore, outside - 0.8), 8);
    expect(far).toBeCloseTo(washer(2, bore, outside), 8);
  });

  it('has the L-shaped bed’s area and centroid', () => {
    const { area, centroidR } = sectionFacts(lanesOf(inlaid())[0], 0.4);
    // rail of 2 × 2 and shelf of 2 × 1.2
    expect(area).toBeCloseTo(4 + 2.4, 10);
    expect(centroidR).toBeCloseTo((4 * (bore + 1) + 2.4 * (bore + 0.6)) / 6.4, 10);
  });

  it.each([
    [
      'in a bed that is named the other way',
      inlaid({
        lanes: inlaid().lanes.map((l) => (l.inlay ? { ...l, inlay: { ...l.inlay, bed: 'far' } } : l)),
      }),
    ],
    [
      'between softened waves, less its recess',
      softened({ lanes: softened().lanes.map((l) => ({ ...l, recessMm: 0, softenMm: 0 })) }),
    ],
    [
      'at the edge of the band',
      inlaid({
        seams: [straight(1)],
        lanes: [lane('body'), lane('rim', { inlay: { depthMm: 0.7, bed: 'body' } })],
      }),
    ],
    [
      'at both edges',
      inlaid({
        lanes: [
          lane('rim', { inlay: { depthMm: 0.7, bed: 'body' } }),
          lane('body'),
          lane('lip', { inlay: { depthMm: 0.4, bed: 'body' } }),
        ],
      }),
    ],
    [
      'beside another in a bed of its own',
      inlaid({
        seams: [straight(-1.2), straight(0), straight(1.2)],
        lanes: [
          lane('a'),
          lane('b', { inlay: { depthMm: 0.6, bed: 'a' } }),
          lane('c', { inlay: { depthMm: 1, bed: 'd' } }),
          lane('d'),
        ],
      }),
    ],
    [
      'twice, with a lane between that carries both',
      inlaid({
        widthMm: 8,
        seams: [straight(-2.4), straight(-1), straight(1), straight(2.4)],
        lanes: [
          lane('a'),
          lane('b', { inlay: { depthMm: 0.6, bed: 'c' } }),
          lane('c'),
          lane('d', { inlay: { depthMm: 0.9, bed: 'c' } }),
          lane('e'),
        ],
      }),
    ],
  ] as [string, ShapeDesign][])(
    '%s leaves nothing out and nothing twice: lanes sum to the whole band',
    (_, design) => {
      const whole = pappusVolume(bandSectionFacts({ ...design, section: { ...design.section } }));
      expect(Math.abs(sum(volumes(design)) / whole - 1)).toBeLessThan(1e-9);
      for (const { mesh, lane: built } of buildLanes(design)) {
        const report = inspectMesh(mesh);
        expect(report.looseEdges).toBe(0);
        expect(report.genus).toBe(1);
        expect(report.leastCosine).toBeGreaterThan(0.99);
        expect(Math.abs(meshVolume(mesh) / laneVolume(built) - 1)).toBeLessThan(1e-3);
      }
    },
  );

  it('softened and recessed is closed, and the bed’s channel has the normals of the swept surface', () => {
    for (const { mesh } of buildLanes(softened())) {
      const report = inspectMesh(mesh);
      expect(report.looseEdges).toBe(0);
      expect(report.genus).toBe(1);
      expect(report.normalLengthError).toBeLessThan(1e-6);
      // softenings turn by 1.6 times as much from column to column as other surfaces
      expect(report.leastCosine).toBeGreaterThan(Math.cos(1.6 * 0.12));
    }
  });

  it('shares every triangle of its channel’s floor with the bed', () => {
    const [near, strip] = buildLanes(inlaid());
    const floor = outside - 0.8;
    const onFloor = ({ mesh }: typeof near) => {
      const keys = new Set<string>();
      for (let t = 0; t < mesh.indices.length; t += 3) {
        const corners = [0, 1, 2].map((k) => [
          ...mesh.positions.subarray(3 * mesh.indices[t + k], 3 * mesh.indices[t + k] + 3),
        ]);
        if (corners.some(([x, y]) => Math.abs(Math.hypot(x, y) - floor) > 1e-4)) continue;
        if (corners.some(([, , z]) => Math.abs(z) > 1.00001)) continue;
        keys.add(
          corners
            .map((c) => c.map((v) => v.toFixed(4)).join())
            .sort()
            .join(' '),
        );
      }
      return keys;
    };
    const mine = onFloor(near);
    const its = onFloor(strip);
    expect(its.size).toBeGreaterThan(200);
    expect([...its].filter((key) => !mine.has(key))).toEqual([]);
  });

  it('keeps its floor where it was when metal is left on for polishing', () => {
    const proud = withPolishAllowance(inlaid(), 0.05, []);
    const floors = [inlaid(), proud].map((design) => midRadius(lanesOf(design)[1].bore));
    expect(floors[1]).toBeCloseTo(floors[0], 12);
  });
});

describe('an inlay is refused', () => {
  const found = (design: ShapeDesign) => bandProblems(design).map(({ code, path }) => `${path} ${code}`);
  const strip = (change: Partial<LaneDesign>) =>
    inlaid({ lanes: inlaid().lanes.map((l) => (l.inlay ? { ...l, ...change } : l)) });

  it('in a bed that is not beside it, or is an inlay itself', () => {
    expect(found(strip({ inlay: { depthMm: 0.8, bed: 'strip' } }))).toEqual([
      'lanes.strip.inlay.bed inlay-bed',
    ]);
    const lanes = [
      lane('a', { inlay: { depthMm: 0.5, bed: 'b' } }),
      lane('b', { inlay: { depthMm: 0.5, bed: 'a' } }),
    ];
    expect(found(inlaid({ seams: [straight(0)], lanes }))).toEqual([
      'lanes.a.inlay inlay-bed',
      'lanes.b.inlay inlay-bed',
    ]);
  });

  it('that leaves no floor, with the metal left', () => {
    const [problem] = bandProblems(strip({ inlay: { depthMm: 1.95, bed: 'near' } }));
    expect(problem.code).toBe('inlay-too-deep');
    expect(problem.received).toBe('0.05 mm at θ = 0.0°');
  });

  it('without metal of its own above the floor', () => {
    expect(found(strip({ recessMm: 0.75 }))).toContain('lanes.strip.inlay.depth inlay-too-shallow');
  });

  it('beside a lane that lies lower than its floor', () => {
    const lanes = inlaid().lanes.map((l) => (l.name === 'far' ? { ...l, recessMm: 0.75 } : l));
    expect(found(inlaid({ lanes }))).toContain('lanes.far inlay-stands-free');
  });

  it('under stones', () => {
    const row = {
      name: 'row',
      lane: 'strip',
      cut: 'round-brilliant',
      diameterMm: 1.2,
      coverage: { kind: 'full' },
      count: 'fit',
      leastGapMm: 0.12,
      setDepthMm: 0.05,
      holeShare: 0.5,
      setting: { style: 'none' },
    } as const;
    expect(found(inlaid({ rows: [row] }))).toEqual(['lanes.strip inlay-under-stones']);
  });
});
