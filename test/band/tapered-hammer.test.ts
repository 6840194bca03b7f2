import { describe, expect, it } from 'vitest';
import { type BuiltLane, buildLanes } from '../../pipeline/band/build-lanes.ts';
import { DEEPEST_BLOW, hammerField, hammerStep, spreadBlows } from '../../pipeline/band/hammer.ts';
import { type Lane, lanesOf } from '../../pipeline/band/lane.ts';
import { midRadius, normalAt, radiusAt } from '../../pipeline/band/profile.ts';
import { sweepLane } from '../../pipeline/band/sweep.ts';
import { finenessOf, sweepAngles } from '../../pipeline/band/sweep-angles.ts';
import { meshVolume } from '../../pipeline/band/welded-mesh.ts';
import type { HammerDesign, ShapeDesign } from '../../pipeline/plan/design.ts';
import { inspectMesh } from './closed-mesh.ts';
import { bandDesign, bandProblems } from './designs.ts';

const HAMMER: HammerDesign = { facetMm: 1.5, depthMm: 0.05, seed: 11 };
const DEEPEST = DEEPEST_BLOW * HAMMER.depthMm;
const EDGE = 0.3;
/** Width beside an edge over which marks run out, mm. */
const RUN_OUT = 0.35;
const BORE = 54 / (2 * Math.PI);
const [TOP, BACK] = [
  { widthMm: 6, thicknessMm: 2.2 },
  { widthMm: 3.4, thicknessMm: 1.4 },
];

/** A flat outside, so that its radius and its width by θ are what the taper says: from top to back by (1 − cos θ)/2. */
const flat: ShapeDesign = bandDesign({
  ...TOP,
  taper: { ...BACK, seams: [] },
  section: { name: 'flat', domeMm: 0, comfortMm: 0.1, edgeMm: EDGE, boreEdgeMm: 0.2 },
  lanes: [{ name: 'all', recessMm: 0, softenMm: 0, hammer: HAMMER }],
});
const between = (key: 'widthMm' | 'thicknessMm') => (theta: number) =>
  TOP[key] + ((1 - Math.cos(theta)) / 2) * (BACK[key] - TOP[key]);
const widthAt = between('widthMm');
const outsideAt = (theta: number) => BORE + between('thicknessMm')(theta);

/** A domed one in two lanes, parted by a wave; the far one hammered. */
const domed: ShapeDesign = {
  ...flat,
  section: { name: 'court', domeMm: 0.35, comfortMm: 0.15, edgeMm: EDGE, boreEdgeMm: 0.2 },
  seams: [{ kind: 'wave', atMm: -1.1, amplitudeMm: 0.3, periods: 5, sharpness: 0.3, phaseRad: 0.4 }],
  taper: {
    ...BACK,
    seams: [{ kind: 'wave', atMm: -0.62, amplitudeMm: 0.17, periods: 5, sharpness: 0.3, phaseRad: 0.4 }],
  },
  lanes: [
    { name: 'near', recessMm: 0, softenMm: 0.15 },
    { name: 'far', recessMm: 0.1, softenMm: 0.15, hammer: HAMMER },
  ],
};

const built = { flat: buildLanes(flat), domed: buildLanes(domed) };

/** Volume of a lane without marks, in a mesh of the same steps round: what chords take off is the same. */
function smoothVolume(lanes: BuiltLane[], { lane }: BuiltLane): number {
  const fineness = finenessOf(flat.chordToleranceMm);
  const curves = [lanes[0].lane.low.curve, ...lanes.map((each) => each.lane.high.curve)];
  const widest = Math.max(...lanes.map((each) => midRadius(each.lane.outer)));
  const angles = sweepAngles(curves, widest, fineness, hammerStep(HAMMER));
  return meshVolume(sweepLane({ ...lane, hammer: undefined }, angles, fineness));
}

/** ∫ h dA and the area itself over a lane's outside, by the midpoint rule; dA = |∂p/∂θ × ∂p/∂z| by differences. */
function integrals(lane: Lane, from: (theta: number) => number, to: (theta: number) => number) {
  const field = hammerField(lane, HAMMER);
  const point = (theta: number, z: number) => {
    const r = radiusAt(lane.outer(theta), z);
    return [r * Math.sin(theta), r * Math.cos(theta), z];
  };
  const [rounds, across, d] = [720, 90, 1e-5];
  let [loss, area] = [0, 0];
  for (let i = 0; i < rounds; i++) {
    const theta = (2 * Math.PI * (i + 0.5)) / rounds;
    const width = to(theta) - from(theta);
    for (let j = 0; j < across; j++) {
      const z = from(theta) + ((j + 0.5) / across) * width;
      const [a, b, c, e] = [
        point(theta - d, z),
        point(theta + d, z),
        point(theta, z - d),
        point(theta, z + d),
      ];
      const u = b.map((v, k) => (v - a[k]) / (2 * d));
      const w = e.map((v, k) => (v - c[k]) / (2 * d));
      const cell = Math.hypot(
        u[1] * w[2] - u[2] * w[1],
        u[2] * w[0] - u[0] * w[2],
        u[0] * w[1] - u[1] * w[0],
      );
      const dA = (cell * width * 2 * Math.PI) / rounds / across;
      area += dA;
      // marks are pressed along the normal within the section, which on a taper leans a little from the surface's own
      const [nz, nr] = normalAt(lane.outer(theta), z);
      const n = [nr * Math.sin(theta), nr * Math.cos(theta), nz];
      const square = Math.abs(
        n[0] * (u[1] * w[2] - u[2] * w[1]) +
          n[1] * (u[2] * w[0] - u[0] * w[2]) +
          n[2] * (u[0] * w[1] - u[1] * w[0]),
      );
      loss += -field(theta, z) * ((square * width * 2 * Math.PI) / rounds / across);
    }
  }
  return { loss, area };
}

describe('a hammered band that tapers', () => {
  it.each(['flat', 'domed'] as const)(
    'is one closed ring in every lane (%s), its normals those of its facets',
    (name) => {
      expect(bandProblems({ flat, domed }[name])).toEqual([]);
      for (const { mesh } of built[name]) {
        const report = inspectMesh(mesh);
        expect([report.looseEdges, report.genus]).toEqual([0, 1]);
        expect(report.normalLengthError).toBeLessThan(1e-6);
        expect(report.leastCosine).toBeGreaterThan(0.95);
      }
    },
  );

  it.each(['flat', 'domed'] as const)(
    'loses what lies between the smooth surface and its marks, and less than the deepest blow everywhere (%s)',
    (name) => {
      const struck = built[name].find(({ lane }) => lane.hammer)!;
      const measured = smoothVolume(built[name], struck) - meshVolume(struck.mesh);
      const { low, high } = struck.lane;
      const { loss, area } = integrals(struck.lane, low.curve.z, high.curve.z);
      expect(measured).toBeGreaterThan(0);
      expect(measured).toBeLessThan(DEEPEST * area);
      // ∫ h dA leaves out h²/2r, 0.3 % here; chords over hollows fill a little
      expect(Math.abs(measured / loss - 1)).toBeLessThan(0.03);
    },
  );

  const [{ lane, mesh }] = built.flat;
  const blows = spreadBlows(lane, HAMMER);

  it('is struck on the tapered surface, as densely at the back as at the top, and nowhere beside it', () => {
    for (const { theta, z, point } of blows) {
      expect(Math.hypot(point[0], point[1])).toBeCloseTo(outsideAt(theta), 9);
      // half a mark may reach in from beyond the edge's round
      expect(Math.abs(z)).toBeLessThan(widthAt(theta) / 2 - EDGE + HAMMER.facetMm / 2 + 1e-9);
    }
    // blows to the square millimetre of what they are spread over, in the quarters round top and back
    const density = (at: number) => {
      const turn = (theta: number) => Math.abs(Math.atan2(Math.sin(theta - at), Math.cos(theta - at)));
      const struck = blows.filter(({ theta }) => turn(theta) < Math.PI / 4).length;
      const steps = 400;
      let area = 0;
      for (let i = 0; i < steps; i++) {
        const theta = at + ((i + 0.5) / steps - 0.5) * (Math.PI / 2);
        area += ((widthAt(theta) - 2 * EDGE + HAMMER.facetMm) * outsideAt(theta) * Math.PI) / 2 / steps;
      }
      return struck / area;
    };
    expect(density(Math.PI) / density(0)).toBeGreaterThan(0.85);
    expect(density(Math.PI) / density(0)).toBeLessThan(1.15);
    // no untouched spot: from any place to the nearest blow it is less than a mark's width
    for (let theta = 0; theta < 2 * Math.PI; theta += 0.06) {
      for (let share = -0.9; share <= 0.9; share += 0.15) {
        const z = share * (widthAt(theta) / 2 - EDGE);
        const r = outsideAt(theta);
        const p = [r * Math.sin(theta), r * Math.cos(theta), z];
        const nearest = Math.min(...blows.map(({ point }) => Math.hypot(...point.map((v, k) => v - p[k]))));
        expect(nearest).toBeLessThan(0.75 * HAMMER.facetMm);
      }
    }
  });

  it('has its marks between the softened edges all round, the edges where the taper puts them', () => {
    const reach = { top: 0, back: 0 };
    // what is greatest of all vertices: to expect each of them takes far longer than to make them
    const proud = { surface: 0, width: 0 };
    let [deepest, onEdge] = [0, 0];
    for (let i = 0; i < mesh.positions.length; i += 3) {
      const [x, y, z] = mesh.positions.subarray(i, i + 3);
      const theta = Math.atan2(x, y);
      const within = widthAt(theta) / 2 - EDGE - Math.abs(z);
      const drop = outsideAt(theta) - Math.hypot(x, y);
      proud.surface = Math.max(proud.surface, -drop);
      proud.width = Math.max(proud.width, -EDGE - within);
      // on the flat the section's normal is radial: a point's drop is its mark's depth
      if (within < -1e-5 || drop > 0.5) continue;
      deepest = Math.max(deepest, drop);
      if (within < 1e-5) onEdge = Math.max(onEdge, drop);
      if (drop < 0.002) continue;
      if (Math.abs(theta) < 0.4) reach.top = Math.max(reach.top, Math.abs(z));
      if (Math.abs(theta) > Math.PI - 0.4) reach.back = Math.max(reach.back, Math.abs(z));
    }
    // nothing ever stands above the tapered surface or out of its width
    expect(proud.surface).toBeLessThan(1e-5);
    expect(proud.width).toBeLessThan(1e-5);
    expect(onEdge).toBeLessThan(1e-5);
    expect(deepest).toBeGreaterThan(HAMMER.depthMm);
    expect(deepest).toBeLessThan(DEEPEST);
    // marks reach as far as they run out, at the wide top as at the narrow back
    for (const [found, theta] of [
      [reach.top, 0],
      [reach.back, Math.PI],
    ]) {
      expect(found).toBeGreaterThan(widthAt(theta) / 2 - EDGE - RUN_OUT);
      expect(found).toBeLessThan(widthAt(theta === 0 ? 0 : Math.PI - 0.4) / 2 - EDGE);
    }
  });

  it('with as wide and thick a back as top is struck where one that does not taper is', () => {
    const even = { ...flat, taper: { ...TOP, seams: [] } };
    const { taper: _, ...straight } = flat;
    const [a, b] = [even, straight].map((design) => spreadBlows(lanesOf(design)[0], HAMMER));
    expect(a.length).toBe(b.length);
    // seeded alike; a taper of nothing rounds its last digit otherwise
    a.forEach((blow, i) => {
      expect(Math.hypot(...blow.point.map((v, k) => v - b[i].point[k]))).toBeLessThan(1e-12);
    });
  });
});
