import { describe, expect, it } from 'vitest';
import { buildLanes } from '../../pipeline/band/build-lanes.ts';
import { lanesOf } from '../../pipeline/band/lane.ts';
import { bandSectionFacts, laneVolume, pappusVolume } from '../../pipeline/band/pappus.ts';
import { meshVolume } from '../../pipeline/band/welded-mesh.ts';
import type { ShapeDesign } from '../../pipeline/plan/design.ts';
import type { SeamDesign } from '../../pipeline/plan/seam-design.ts';
import { BEVEL, RIDGE } from './bodies.ts';
import { bandDesign, wavyDesign } from './designs.ts';

function builtVolume(design: ShapeDesign): number {
  return buildLanes(design).reduce((sum, { mesh }) => sum + meshVolume(mesh), 0);
}

const within = (value: number, wanted: number, share: number) => Math.abs(value / wanted - 1) < share;

describe('flat bands', () => {
  // V = π·w·((r + t)² − r²); grams at 15.58 g/cm³, the supplier's density of 18 k yellow
  it.each([
    [54, 4, 1.6, 377.77, 5.886],
    [54, 2, 1.5, 176.14, 2.744],
    [62, 6, 2.0, 819.4, 12.766],
  ])(
    'of circumference %d, width %d, thickness %d have the closed form’s volume',
    (c, w, t, volume, grams) => {
      const design = bandDesign({ circumferenceMm: c, widthMm: w, thicknessMm: t });
      const r = c / (2 * Math.PI);
      expect(pappusVolume(bandSectionFacts(design))).toBeCloseTo(Math.PI * w * ((r + t) ** 2 - r * r), 6);
      const built = builtVolume(design);
      expect(within(built, volume, 1e-3)).toBe(true);
      expect(within((built * 15.58) / 1000, grams, 1e-3)).toBe(true);
    },
  );
});

describe('D-section', () => {
  // circular segment, chord 4, sagitta 1.6: area and centroid by the segment formulas
  it('of a full circular segment has its area, centroid and mass', () => {
    const design = bandDesign({
      section: { name: 'd', domeMm: 1.6, comfortMm: 0, edgeMm: 0, boreEdgeMm: 0 },
    });
    const { area, centroidR } = bandSectionFacts(design);
    const rho = (2 * 2 + 1.6 * 1.6) / (2 * 1.6);
    const half = Math.asin(2 / rho);
    const segment = (rho * rho * (2 * half - Math.sin(2 * half))) / 2;
    const centroid = 4 ** 3 / (12 * segment) - (rho - 1.6);
    expect(area).toBeCloseTo(segment, 9);
    expect(area).toBeCloseTo(4.7712, 4);
    expect(centroidR - 54 / (2 * Math.PI)).toBeCloseTo(centroid, 9);
    expect(centroid).toBeCloseTo(0.6678, 4);
    expect(within(builtVolume(design), 277.66, 1e-3)).toBe(true);
    expect(within((builtVolume(design) * 15.58) / 1000, 4.326, 1e-3)).toBe(true);
  });
});

describe('Pappus: V = 2π · r̄ · A', () => {
  const softened = { edgeMm: 0.25, boreEdgeMm: 0.2 };
  it.each([
    ['flat', { name: 'flat', domeMm: 0, comfortMm: 0, ...softened }],
    ['d', { name: 'd', domeMm: 0.6, comfortMm: 0, ...softened }],
    ['court', { name: 'court', domeMm: 0.4, comfortMm: 0.25, ...softened }],
    ['flat-court', { name: 'flat-court', domeMm: 0, comfortMm: 0.25, ...softened }],
    ['concave', { name: 'concave', domeMm: 0.35, comfortMm: 0.15, ...softened }],
    ['bevelled', { name: 'bevelled', domeMm: 0, comfortMm: 0.15, bevel: BEVEL, ...softened }],
    ['knife-edge', { name: 'knife-edge', domeMm: 0, comfortMm: 0.15, ridge: RIDGE, ...softened }],
  ] as const)('holds for the softened %s section to 0.1 %%', (_, section) => {
    const design = bandDesign({ section });
    expect(within(builtVolume(design), pappusVolume(bandSectionFacts(design)), 1e-3)).toBe(true);
  });

  it('of a concave section is that of the flat one at its edges less a circular segment', () => {
    // chord 4, sagitta 0.35: area by the segment formula, taken off a rectangle of thickness 1.6 + 0.35
    const sharp = { name: 'concave', domeMm: 0.35, comfortMm: 0, edgeMm: 0, boreEdgeMm: 0 } as const;
    const design = bandDesign({ section: sharp });
    const rho = (2 * 2 + 0.35 * 0.35) / (2 * 0.35);
    const half = Math.asin(2 / rho);
    const segment = (rho * rho * (2 * half - Math.sin(2 * half))) / 2;
    expect(bandSectionFacts(design).area).toBeCloseTo(4 * 1.95 - segment, 9);
    expect(within(builtVolume(design), pappusVolume(bandSectionFacts(design)), 1e-3)).toBe(true);
  });

  it('takes (1 − π/4)·s² off each softened corner of a flat section', () => {
    const section = { name: 'flat', domeMm: 0, comfortMm: 0, ...softened } as const;
    const corner = (s: number) => (1 - Math.PI / 4) * s * s;
    expect(bandSectionFacts(bandDesign({ section })).area).toBeCloseTo(
      4 * 1.6 - 2 * corner(0.25) - 2 * corner(0.2),
      9,
    );
  });
});

describe('lanes', () => {
  const plain = [
    { name: 'a', recessMm: 0, softenMm: 0 },
    { name: 'b', recessMm: 0, softenMm: 0 },
  ];
  const straight = [{ kind: 'straight', atMm: 0.4 }] as const;

  it.each([
    ['straight', [...straight]],
    ['wavy', wavyDesign().seams],
    ['drifting', [{ kind: 'drift', fromMm: -0.9, toMm: 1, phaseRad: 0.3 }]],
    ['free', [{ kind: 'points', zMm: [0, 0.9, -0.4, 0.5, -0.8], phaseRad: 0 }]],
  ] as [string, SeamDesign[]][])('of a band parted by a %s seam sum to the whole to 0.1 %%', (_, seams) => {
    const whole = wavyDesign({ seams: [], lanes: [plain[0]] });
    const parted = wavyDesign({ seams, lanes: plain });
    expect(within(builtVolume(parted), builtVolume(whole), 1e-3)).toBe(true);
    expect(within(builtVolume(parted), pappusVolume(bandSectionFacts(whole)), 1e-3)).toBe(true);
    const exact = lanesOf(parted).reduce((sum, lane) => sum + laneVolume(lane), 0);
    expect(within(exact, pappusVolume(bandSectionFacts(whole)), 1e-9)).toBe(true);
  });

  it('are each within 0.1 % of the integral of their sections', () => {
    for (const { lane, mesh } of buildLanes(wavyDesign())) {
      expect(within(meshVolume(mesh), laneVolume(lane), 1e-3)).toBe(true);
    }
  });

  it('lose the metal of their recess', () => {
    // a flat lane of width b lowered by h from radius R loses 2π · b · h · (R − h/2)
    const lanes = [plain[0], { name: 'b', recessMm: 0.3, softenMm: 0 }];
    const outer = 54 / (2 * Math.PI) + 1.6;
    const lost = 2 * Math.PI * 1.6 * 0.3 * (outer - 0.15);
    const seams = [...straight];
    const full = bandDesign({ seams, lanes: plain });
    expect(within(builtVolume(full) - builtVolume(bandDesign({ seams, lanes })), lost, 2e-3)).toBe(true);
  });
});
