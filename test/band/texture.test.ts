import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { buildLanes, soundLanes } from '../../pipeline/band/build-lanes.ts';
import { lanesOf } from '../../pipeline/band/lane.ts';
import { laneAngles } from '../../pipeline/band/lane-angles.ts';
import { reliefField, reliefStep } from '../../pipeline/band/lane-relief.ts';
import { reliefStretch } from '../../pipeline/band/motif.ts';
import { laneVolume } from '../../pipeline/band/pappus.ts';
import { normalAt, radiusAt } from '../../pipeline/band/profile.ts';
import { outerSpan } from '../../pipeline/band/surface-field.ts';
import { foretoldFaces } from '../../pipeline/band/sweep.ts';
import { cellsRound } from '../../pipeline/band/texture.ts';
import { meshVolume } from '../../pipeline/band/welded-mesh.ts';
import type { ShapeDesign } from '../../pipeline/plan/design.ts';
import type { TextureDesign } from '../../pipeline/plan/texture-design.ts';
import type { OutlineDesign } from '../../pipeline/plan/width-design.ts';
import { TEXTURE_PATTERNS, TEXTURES } from '../../pipeline/trade/textures.ts';
import { inspectMesh } from './closed-mesh.ts';
import { bandDesign, bandProblems } from './designs.ts';

const usual = (pattern: TextureDesign['pattern'], change: Partial<TextureDesign> = {}): TextureDesign => {
  const { depthMm, sizeMm } = TEXTURES[pattern];
  return { pattern, depthMm, sizeMm, seed: 3, ...change };
};

function textured(texture: TextureDesign, change: Partial<ShapeDesign> = {}): ShapeDesign {
  return bandDesign({
    circumferenceMm: 46,
    widthMm: 4,
    thicknessMm: 1.8,
    section: { name: 'court', domeMm: 0.3, comfortMm: 0.15, edgeMm: 0.3, boreEdgeMm: 0.2 },
    lanes: [{ name: 'all', recessMm: 0, softenMm: 0.2, texture }],
    ...change,
  });
}

/**
 * What relief takes off a lane, by the volume between parallel surfaces to second order, which knows nothing of the mesh:
 * ∬ h (1 − h H) dA over the smooth surface, with H half the sum of its curvatures and h the depth, by the midpoint rule.
 */
function takenOff(design: ShapeDesign): number {
  const [lane] = lanesOf(design);
  const field = reliefField(lane)!;
  const [turns, steps] = [900, 100];
  let sum = 0;
  for (let i = 0; i < turns; i++) {
    const theta = (2 * Math.PI * (i + 0.5)) / turns;
    const profile = lane.outer(theta);
    const [from, to] = outerSpan(lane, theta);
    const dz = (to - from) / steps;
    for (let k = 0; k < steps; k++) {
      const z = from + (k + 0.5) * dz;
      const r = radiusAt(profile, z);
      const [, nr] = normalAt(profile, z);
      const h = -field(theta, z);
      const bend = (nr / r + profile.pieces.find(({ toZ }) => z <= toZ)!.curvature) / 2;
      sum += h * (1 - h * bend) * r * ((2 * Math.PI) / turns) * (dz / nr);
    }
  }
  return sum;
}

/** A middle line in waves with a width that goes its own way. */
const WAVING: OutlineDesign = {
  measured: 'square',
  middle: { kind: 'wave', atMm: 0, amplitudeMm: 0.5, periods: 4, sharpness: 0, phaseRad: 0 },
  width: { kind: 'points', zMm: [4, 3.2, 4.6, 3.6], phaseRad: 0.3 },
  other: { widthMm: 8, seams: [] },
};

/** A ring drawn with four arcs. */
const RING = 'M0 5A5 5 0 1 1 10 5A5 5 0 1 1 0 5M2.5 5A2.5 2.5 0 1 0 7.5 5A2.5 2.5 0 1 0 2.5 5';
const GROWN = TEXTURE_PATTERNS.filter((pattern) => pattern !== 'motif' && pattern !== 'picture');

const ringed = (change: Partial<TextureDesign> = {}, raised = false) =>
  usual('motif', { motif: { drawing: RING, heightMm: 2, raised }, ...change });

describe.each(GROWN)('%s', (pattern) => {
  const design = textured(usual(pattern));
  const [lane] = lanesOf(design);
  const field = reliefField(lane)!;

  it('never stands above the smooth surface nor lies below its depth, closes round the band and leaves the sides', () => {
    const { depthMm } = usual(pattern);
    const depths: number[] = [];
    for (let theta = 0; theta < 2 * Math.PI; theta += 0.013)
      for (let z = -1.9; z <= 1.9; z += 0.05) depths.push(-field(theta, z));
    expect(Math.min(...depths)).toBeGreaterThanOrEqual(0);
    expect(Math.max(...depths)).toBeLessThanOrEqual(depthMm + 1e-9);
    // it is there: its deepest places come near the depth that was asked for, and its mean is neither
    expect(Math.max(...depths)).toBeGreaterThan(0.8 * depthMm);
    const mean = depths.reduce((a, b) => a + b) / depths.length;
    expect(mean).toBeGreaterThan(0.1 * depthMm);
    expect(mean).toBeLessThan(0.8 * depthMm);
    for (let z = -1.5; z <= 1.5; z += 0.1) expect(field(-1e-7, z)).toBeCloseTo(field(1e-7, z), 4);
    for (let theta = 0; theta < 6; theta += 0.4)
      for (const z of outerSpan(lane, theta)) expect(Math.abs(field(theta, z))).toBeLessThan(1e-9);
  });

  it('makes a closed ring that is lighter by what it takes off', () => {
    const [{ mesh }] = buildLanes(design);
    const report = inspectMesh(mesh);
    expect(report.looseEdges).toBe(0);
    expect(report.genus).toBe(1);
    expect(report.leastCosine).toBeGreaterThan(0.5);
    expect(mesh.indices.length / 3).toBeLessThan(500_000);
    // the same triangles without relief, so that what chords take off falls out
    const smooth = textured({ ...usual(pattern), depthMm: 0 });
    const whole = meshVolume(buildLanes(smooth)[0].mesh);
    expect(Math.abs((whole - meshVolume(mesh)) / takenOff(design) - 1)).toBeLessThan(0.02);
    expect(Math.abs(whole / laneVolume(lane) - 1)).toBeLessThan(0.001);
  });
});

describe('a texture', () => {
  it('is the same for the same seed and another for another, and goes whole times round every size', () => {
    const at = (seed: number, circumferenceMm = 54) =>
      reliefField(lanesOf(textured(usual('bark', { seed }), { circumferenceMm }))[0])!(1, 0.3);
    expect(at(1)).toBe(at(1));
    expect(at(1)).not.toBe(at(2));
    for (const circumferenceMm of [44, 51.3, 70]) {
      const [lane] = lanesOf(textured(usual('linen'), { circumferenceMm }));
      const field = reliefField(lane)!;
      for (let z = -1; z < 1; z += 0.1) expect(field(2 * Math.PI - 1e-8, z)).toBeCloseTo(field(0, z), 5);
    }
  });

  it('is refused with its place where it cannot be: too steep, too coarse, too fine, over a corner, under stones', () => {
    const codes = (change: Partial<TextureDesign>, design: Partial<ShapeDesign> = {}) =>
      bandProblems(textured(usual('bark', change), design)).map(({ code, path }) => [code, path]);
    expect(codes({})).toEqual([]);
    expect(codes({ depthMm: 0.5 })).toEqual([['texture-too-steep', 'lanes.all.texture.depth']]);
    expect(codes({ sizeMm: 3.9 })).toEqual([['texture-too-coarse', 'lanes.all.texture.size']]);
    expect(codes({ sizeMm: 0.3, depthMm: 0.05 })).toEqual([['texture-too-fine', 'lanes.all.texture.size']]);
    const ridge = { lowRad: 0.15, highRad: 0.15, roundMm: 0.2 };
    const knife = {
      name: 'knife-edge',
      domeMm: 0,
      comfortMm: 0.1,
      edgeMm: 0.2,
      boreEdgeMm: 0.2,
      ridge,
    } as const;
    expect(codes({}, { section: knife })).toEqual([['texture-over-corner', 'lanes.all.texture']]);
    const hammer = { facetMm: 1.6, depthMm: 0.05, seed: 1 };
    const both = textured(usual('bark'), {
      lanes: [{ name: 'all', recessMm: 0, softenMm: 0.2, texture: usual('bark'), hammer }],
    });
    expect(bandProblems(both).map(({ code }) => code)).toContain('texture-and-hammer');
  });

  it.each<[Exclude<TextureDesign['pattern'], 'motif' | 'picture'>, number, Partial<ShapeDesign>]>([
    ['bark', 0.7, {}],
    ['linen', 1, { circumferenceMm: 60, chordToleranceMm: 0.004 }],
    ['sand-cast', 1, { taper: { widthMm: 3, thicknessMm: 1.5, seams: [] } }],
    ['florentine', 1.5, { outline: WAVING }],
  ])('asks for the triangles that are foretold: %s', (pattern, scale, change) => {
    const { sizeMm, depthMm } = TEXTURES[pattern];
    const design = textured(usual(pattern, { sizeMm: scale * sizeMm, depthMm: scale * depthMm }), change);
    const lanes = soundLanes(design);
    const { angles, fineness } = laneAngles(design, lanes);
    const foretold = lanes.reduce((sum, lane) => sum + foretoldFaces(lane, angles, fineness), 0);
    const made = buildLanes(design, lanes).reduce((sum, { mesh }) => sum + mesh.indices.length / 3, 0);
    expect(foretold).toBeLessThanOrEqual(made);
    expect(foretold).toBeGreaterThan(0.99 * made);
  });

  it('of any measures on any band is refused with reasons or makes a closed solid', () => {
    const any = fc.record({
      pattern: fc.constantFrom(...GROWN),
      depthMm: fc.double({ min: 0.02, max: 0.6, noNaN: true }),
      sizeMm: fc.double({ min: 0.5, max: 5, noNaN: true }),
      seed: fc.nat(999999),
    });
    const tally = { refused: 0, built: 0 };
    fc.assert(
      fc.property(any, fc.double({ min: 2, max: 5, noNaN: true }), (texture, widthMm) => {
        const design = textured(texture, { widthMm, circumferenceMm: 46 });
        const problems = bandProblems(design);
        if (problems.length > 0) {
          tally.refused++;
          for (const { expected, received } of problems) expect(`${expected}${received}`).toMatch(/\d/);
          return;
        }
        // fine ones take a second each, and are no other
        if (reliefStep(lanesOf(design)[0]) < 0.12) return;
        tally.built++;
        const [{ mesh, lane }] = buildLanes(design);
        expect(inspectMesh(mesh).looseEdges).toBe(0);
        expect(meshVolume(mesh)).toBeLessThan(laneVolume(lane));
        expect(meshVolume(mesh)).toBeGreaterThan(0.6 * laneVolume(lane));
      }),
      { numRuns: 20, seed: 4 },
    );
    expect(tally.refused).toBeGreaterThan(1);
    expect(tally.built).toBeGreaterThan(1);
  });
});

describe('a motif', () => {
  const flat = {
    section: { name: 'flat', domeMm: 0, comfortMm: 0, edgeMm: 0.2, boreEdgeMm: 0.2 },
  } as const;

  it('takes its drawn area times its depth on a flat band, once for each place, and raised what is about it', () => {
    const depthMm = 0.1;
    const cut = textured(ringed({ depthMm }), flat);
    const [lane] = lanesOf(cut);
    const outside = radiusAt(lane.outer(0), 0);
    const count = cellsRound(lane.outer, ringed());
    // flanks lie half within the outline and half without: all round a contour that is true to first order, and for a ring
    // of two circles to second order too, since what one gains the other loses
    const area = Math.PI * (1 - 0.25);
    const volume = count * area * depthMm * (1 - depthMm / (2 * outside));
    const plain = meshVolume(buildLanes(textured(ringed({ depthMm: 0 }), flat))[0].mesh);
    const [{ mesh }] = buildLanes(cut);
    expect(inspectMesh(mesh).looseEdges).toBe(0);
    expect((plain - meshVolume(mesh)) / volume).toBeCloseTo(1, 1);
    expect(takenOff(cut) / volume).toBeCloseTo(1, 1);
    expect((plain - meshVolume(mesh)) / takenOff(cut)).toBeCloseTo(1, 2);
    const raised = textured(ringed({ depthMm }, true), flat);
    const whole = takenOff(raised) + takenOff(cut);
    // cut and raised are what the other leaves: together all of the surface, but for where relief runs out
    const [from, to] = outerSpan(lane, 0);
    const runOut = 0.35;
    const all = 2 * Math.PI * outside * (to - from - runOut) * depthMm;
    expect(whole / all).toBeCloseTo(1, 1);
  });

  it('stands in the middle of its lane at the top of the band, and as often as goes evenly round', () => {
    const [lane] = lanesOf(textured(ringed(), flat));
    const field = reliefField(lane)!;
    const count = cellsRound(lane.outer, ringed());
    expect(count).toBe(Math.round((2 * Math.PI * radiusAt(lane.outer(0), 0)) / 4));
    const r = radiusAt(lane.outer(0), 0);
    for (const at of [0, 1, count - 1]) {
      const middle = (2 * Math.PI * at) / count;
      expect(field(middle, 0)).toBeCloseTo(0, 9);
      expect(field(middle + 0.75 / r, 0)).toBeCloseTo(-0.12, 9);
      expect(field(middle, 0.75)).toBeCloseTo(-0.12, 9);
    }
  });

  it('is stretched by a dome by what its radii and slopes say', () => {
    const [level] = lanesOf(textured(ringed(), flat));
    expect(reliefStretch(level, ringed().motif!.heightMm)).toEqual({ along: 0, across: 0 });
    const [domed] = lanesOf(textured(ringed()));
    const { along, across } = reliefStretch(domed, ringed().motif!.heightMm);
    const profile = domed.outer(0);
    expect(along).toBeCloseTo(radiusAt(profile, 1) / radiusAt(profile, 0) - 1, 9);
    // of an arc of radius ρ at a distance of 1 mm from its crown
    const rho = 1 / profile.pieces[0].curvature;
    expect(across).toBeCloseTo(1 / Math.sqrt(1 - 1 / rho ** 2) - 1, 9);
  });

  it('is refused where it does not fit, or is no drawing, with its place', () => {
    const wide = { motif: { drawing: RING, heightMm: 1, raised: false }, sizeMm: 2 };
    expect(bandProblems(textured(ringed(wide), { widthMm: 14 }))).toMatchObject([
      { code: 'motif-too-fine', path: 'lanes.all.texture.height' },
    ]);
    const codes = (texture: TextureDesign) =>
      bandProblems(textured(texture, flat)).map(({ code, path }) => [code, path]);
    expect(codes(ringed())).toEqual([]);
    expect(codes(ringed({ sizeMm: 2 }))).toEqual([['motif-too-long', 'lanes.all.texture.size']]);
    const high = { drawing: 'M0 0H1V9H0Z', heightMm: 3.6, raised: false };
    expect(codes(ringed({ motif: high }))).toEqual([['motif-too-high', 'lanes.all.texture.height']]);
    const open = { drawing: 'M0 0L1 0L1 1', heightMm: 2, raised: false };
    expect(codes(ringed({ motif: open }))).toEqual([['drawing-open', 'lanes.all.texture.drawing']]);
  });
});
