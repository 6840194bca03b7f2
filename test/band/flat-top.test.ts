import { describe, expect, it } from 'vitest';
import { buildLanes } from '../../pipeline/band/build-lanes.ts';
import { lanesOf, wholeBand } from '../../pipeline/band/lane.ts';
import { flatOutside, thicknessAt } from '../../pipeline/band/outline.ts';
import { laneVolume } from '../../pipeline/band/pappus.ts';
import { withPolishAllowance } from '../../pipeline/band/polish-allowance.ts';
import { thicknesses } from '../../pipeline/band/thickness.ts';
import { meshVolume } from '../../pipeline/band/welded-mesh.ts';
import type { ShapeDesign } from '../../pipeline/plan/design.ts';
import type { FlatDesign } from '../../pipeline/plan/width-design.ts';
import { inspectMesh } from './closed-mesh.ts';
import { bandDesign, bandProblems, wavyDesign } from './designs.ts';
import { strayingOf } from './true-surface.ts';

const R = 54 / (2 * Math.PI);
const RO = R + 1.6;

const flat: FlatDesign = { lengthMm: 9, riseMm: 0.4, edgeMm: 0.5 };
const signet = (change: Partial<FlatDesign> = {}, design: Partial<ShapeDesign> = {}) =>
  bandDesign({ flat: { ...flat, ...change }, ...design });

/**
 * Area within the outside seen along the finger, by school geometry: two kites of flat, corner and foot of the shoulder,
 * the sector of the circle between the feet, less what rounding takes of each corner, e² (tan(τ/2) − τ/2).
 */
function areaWithin({ lengthMm, riseMm, edgeMm }: FlatDesign): number {
  const h = RO + riseMm;
  const corner = Math.hypot(lengthMm / 2, h);
  const shoulder = Math.sqrt(corner ** 2 - RO ** 2);
  const foot = Math.atan2(lengthMm / 2, h) + Math.acos(RO / corner);
  // the flat's line runs at 0°, the tangent at the foot has turned by the foot's own angle
  const rounded = edgeMm ** 2 * (Math.tan(foot / 2) - foot / 2);
  return (h * lengthMm) / 2 + RO * shoulder + (Math.PI - foot) * RO ** 2 - 2 * rounded;
}

describe('a flat on top', () => {
  it.each([
    flat,
    { lengthMm: 12, riseMm: 1.5, edgeMm: 1 },
    { lengthMm: 9, riseMm: -0.6, edgeMm: 0.2 },
    { lengthMm: 3, riseMm: 0, edgeMm: 0.3 },
  ])('of %o gives a flat band the volume of its profile times its width', (of) => {
    const design = signet(of);
    expect(bandProblems(design)).toEqual([]);
    const volume = 4 * (areaWithin(of) - Math.PI * R * R);
    expect(Math.abs(laneVolume(wholeBand(design), 2880) / volume - 1)).toBeLessThan(2e-5);
    const [{ mesh }] = buildLanes(design);
    expect(Math.abs(meshVolume(mesh) / volume - 1)).toBeLessThan(2e-3);
  });

  it('is level: every point of the metal between its rounded ends lies at one height, and none lies higher', () => {
    const design = signet();
    const { flatTo } = flatOutside(design)!.top;
    const [{ mesh }] = buildLanes(design);
    let seen = 0;
    for (let i = 0; i < mesh.positions.length; i += 3) {
      const [x, y] = mesh.positions.subarray(i, i + 2);
      expect(y).toBeLessThan(RO + 0.4 + 1e-5);
      if (Math.abs(Math.atan2(x, y)) > flatTo || mesh.normals[i + 1] < 0.5) continue;
      expect(y).toBeCloseTo(RO + 0.4, 4);
      seen++;
    }
    expect(seen).toBeGreaterThan(20);
  });

  it('has a slope that is the derivative of its thickness, without a jump where its parts meet', () => {
    const design = signet();
    const { flatTo, shoulderFrom, shoulderTo } = flatOutside(design)!.top;
    for (const joint of [flatTo, shoulderFrom, shoulderTo, -shoulderTo, Math.PI]) {
      for (const theta of [joint - 0.004, joint, joint + 0.004]) {
        const [before, at, after] = [theta - 1e-6, theta, theta + 1e-6].map((t) => thicknessAt(design, t));
        expect(at.slope).toBeCloseTo((after.value - before.value) / 2e-6, 2);
      }
    }
  });

  it('is told apart from the back and from its ends, which stand highest', () => {
    const [top, back, ends] = thicknesses(signet());
    expect(top.highest).toBeCloseTo(2, 9);
    expect(back.highest).toBeCloseTo(1.6, 9);
    const { centre, radiusMm } = flatOutside(signet())!.top;
    expect(ends.highest).toBeCloseTo(Math.hypot(...centre) + radiusMm - R, 6);
  });

  it('carries seams, recesses and softened edges as closed meshes on the exact surface, and its lanes are the whole', () => {
    const design = wavyDesign({ flat: { ...flat, lengthMm: 8 } });
    expect(bandProblems(design)).toEqual([]);
    for (const { lane, mesh } of buildLanes(design)) {
      expect(inspectMesh(mesh)).toMatchObject({ looseEdges: 0, genus: 1 });
      expect(strayingOf(mesh, lane, 97)).toBeLessThan(2 * design.chordToleranceMm);
    }
    const plain = {
      ...design,
      lanes: design.lanes.map((lane) => ({ ...lane, recessMm: 0, softenMm: 0 })),
    };
    const parts = lanesOf(plain).reduce((sum, lane) => sum + laneVolume(lane), 0);
    expect(parts / laneVolume(wholeBand(plain))).toBeCloseTo(1, 9);
  });

  it('grows by a polishing allowance on all sides: its outside stands off by as much, square to flat and shoulders', () => {
    const design = signet();
    const grown = withPolishAllowance(design, 0.05, []);
    const [before, after] = [design, grown].map((d) => flatOutside(d)!.top);
    expect(after.heightMm - before.heightMm).toBeCloseTo(0.05, 12);
    expect(after.shoulder.d - before.shoulder.d).toBeCloseTo(0.05, 12);
    expect(after.shoulder.nx).toBeCloseTo(before.shoulder.nx, 9);
    expect(after.centre[0]).toBeCloseTo(before.centre[0], 9);
    expect(after.radiusMm - before.radiusMm).toBeCloseTo(0.05, 12);
  });

  it('is refused with the length or radius it could have', () => {
    const short = bandProblems(signet({ riseMm: -0.5, lengthMm: 3 }));
    expect(short.map(({ code, path }) => [code, path])).toEqual([['flat-too-short', 'flat.length']]);
    const least = 2 * Math.sqrt(RO ** 2 - (RO - 0.5) ** 2);
    expect(short[0].expected).toContain(`${least.toFixed(3)} mm`);
    const round = bandProblems(signet({ edgeMm: 4, lengthMm: 3, riseMm: 3 }));
    expect(round.map(({ code, path }) => [code, path])).toEqual([['flat-edge', 'flat.edge']]);
  });
});
