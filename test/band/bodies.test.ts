import { describe, expect, it } from 'vitest';
import { buildLanes } from '../../pipeline/band/build-lanes.ts';
import { lanesOf, wholeBand } from '../../pipeline/band/lane.ts';
import { laneSection } from '../../pipeline/band/lane-section.ts';
import { boreRadius, outsideSurface } from '../../pipeline/band/outside.ts';
import { bandSectionFacts, laneVolume, pappusVolume } from '../../pipeline/band/pappus.ts';
import { withPolishAllowance } from '../../pipeline/band/polish-allowance.ts';
import { normalAt, radiusAt } from '../../pipeline/band/profile.ts';
import { meshVolume } from '../../pipeline/band/welded-mesh.ts';
import { BEVEL, BODIES, RIDGE, SOFT, STEP } from './bodies.ts';
import { inspectMesh } from './closed-mesh.ts';
import { bandDesign, bandProblems } from './designs.ts';

const sharp = { domeMm: 0, comfortMm: 0, edgeMm: 0, boreEdgeMm: 0 } as const;
const R = 54 / (2 * Math.PI);
/** Round the band; sums over a smooth closed curve are exact long before. */
const SECTIONS = 360;

/** Circular segment of chord c and sagitta s: radius, area, distance of its centroid from the circle's centre. */
function segment(c: number, s: number) {
  const rho = c ** 2 / (8 * s) + s / 2;
  const half = Math.asin(c / (2 * rho));
  const area = (rho ** 2 * (2 * half - Math.sin(2 * half))) / 2;
  // Machinery's Handbook, "Areas and dimensions of plane figures", circular segment: c³ / 12A (from memory)
  return { rho, area, centroid: c ** 3 / (12 * area) };
}

/** What a tangent circle of radius ρ takes off a corner that turns by α: ρ² (tan(α/2) − α/2). */
const rounding = (rho: number, alpha: number) => rho ** 2 * (Math.tan(alpha / 2) - alpha / 2);

describe('sections by closed forms', () => {
  it('a comfort bore is a true circular arc: area and volume by the circular segment and Pappus', () => {
    const design = bandDesign({ section: { ...sharp, name: 'flat-court', comfortMm: 0.25 } });
    const { rho, area, centroid } = segment(4, 0.25);
    // a rectangle, less what the bore opens: the strip of the sagitta's height without the segment that hangs in it
    const whole = 4 * 1.6;
    const strip = 4 * 0.25;
    const left = whole - strip + area;
    const moment = whole * (R + 0.8) - strip * (R + 0.125) + area * (R + rho - centroid);
    const facts = bandSectionFacts(design);
    expect(facts.area).toBeCloseTo(left, 10);
    expect(facts.centroidR).toBeCloseTo(moment / left, 9);
    expect(pappusVolume(facts)).toBeCloseTo(2 * Math.PI * moment, 7);
    for (const piece of laneSection(wholeBand(design), 0).filter(({ kind }) => kind === 'bore'))
      for (const u of [0, 0.2, 0.5, 1])
        expect(Math.hypot(piece.at(u).z, piece.at(u).r - (R + rho))).toBeCloseTo(rho, 10);
  });

  it('a bevelled one is a rectangle less two triangles and the roundings of four corners', () => {
    const bevel = { ...BEVEL, roundMm: 0.2 };
    const { area, centroidR } = bandSectionFacts(
      bandDesign({ section: { ...sharp, name: 'bevelled', bevel } }),
    );
    const { lowMm, highMm, lowRad, highRad } = bevel;
    const triangles = [
      [lowMm, lowRad],
      [highMm, highRad],
    ].map(([b, angle]) => ({ area: (b * b * Math.tan(angle)) / 2, r: R + 1.6 - (b * Math.tan(angle)) / 3 }));
    const cut = triangles.reduce((sum, t) => sum + t.area, 0);
    const corners = rounding(0.2, lowRad) + rounding(0.2, highRad);
    expect(area).toBeCloseTo(4 * 1.6 - cut - corners, 10);
    const moment = 4 * 1.6 * (R + 0.8) - triangles.reduce((sum, t) => sum + t.area * t.r, 0);
    // the roundings lie within 10 µm of the top
    expect(Math.abs(area * centroidR - (moment - corners * (R + 1.6)))).toBeLessThan(corners * 0.02);
  });

  it('a knife-edge is a house whose ridge is rounded', () => {
    const section = { ...sharp, name: 'knife-edge', ridge: RIDGE, crestMm: 0.3 } as const;
    const { area } = bandSectionFacts(bandDesign({ section }));
    const { lowRad, highRad, roundMm } = RIDGE;
    // the flats are tangents to the ridge's circle, whose top is the crest
    const end = (h: number, angle: number) => roundMm * (1 / Math.cos(angle) - 1) - h * Math.tan(angle) + 1.6;
    const [low, high] = [end(2.3, lowRad), end(1.7, highRad)];
    // both tangents cross over the ridge: the house with that apex, less the rounding of its corner
    const slopes = Math.tan(lowRad) + Math.tan(highRad);
    const apexZ = (high + 2 * Math.tan(highRad) - low - 2 * Math.tan(lowRad)) / slopes;
    const apex = low + (apexZ + 2) * Math.tan(lowRad);
    const house = ((low + apex) / 2) * (apexZ + 2) + ((apex + high) / 2) * (2 - apexZ);
    expect(area).toBeCloseTo(house - rounding(roundMm, lowRad + highRad), 10);
    const outer = outsideSurface(bandDesign({ section }))(0);
    expect(radiusAt(outer, 0.3) - R).toBeCloseTo(1.6, 12);
    expect(radiusAt(outer, -2) - R).toBeCloseTo(low, 12);
    expect(radiusAt(outer, 2) - R).toBeCloseTo(high, 12);
  });

  it('a D with its crest off the middle is half a segment to either side', () => {
    const section = { ...sharp, name: 'd', domeMm: 0.4, farDomeMm: 0.6, crestMm: 0.5 } as const;
    const { area } = bandSectionFacts(bandDesign({ section }));
    const low = segment(5, 0.4).area / 2 + 2.5 * 1.2;
    const high = segment(3, 0.6).area / 2 + 1.5 * 1;
    expect(area).toBeCloseTo(low + high, 10);
  });

  it('a step takes its rectangle, and its softenings are quarter circles', () => {
    const section = { ...sharp, name: 'flat', edgeMm: 0.2, step: STEP } as const;
    const { area } = bandSectionFacts(bandDesign({ section }));
    const corner = 1 - Math.PI / 4;
    const lost = STEP.widthMm * STEP.depthMm + corner * (0.08 ** 2 - 0.1 ** 2 + 0.2 ** 2);
    expect(area).toBeCloseTo(4 * 1.6 - 2 * lost, 10);
  });
});

describe('tapers', () => {
  const taper = { widthMm: 2.8, thicknessMm: 1.1, seams: [] };

  it('of a flat band have the volume π[(r² − R² + d²/2)·w + r·d·e]: means r, w and half differences d, e', () => {
    // V = ∫ ½ (Ro² − R²) w dθ with Ro = r + d cos θ and w = w̄ + e cos θ, term by term
    const design = bandDesign({ taper });
    const [r, d, w, e] = [R + 1.35, 0.25, 3.4, 0.6];
    const volume = Math.PI * ((r * r - R * R + (d * d) / 2) * w + r * d * e);
    expect(laneVolume(wholeBand(design))).toBeCloseTo(volume, 9);
    const [{ mesh }] = buildLanes(design);
    expect(Math.abs(meshVolume(mesh) / volume - 1)).toBeLessThan(1e-3);
  });

  it('have the top’s measures at the top and the back’s at the back', () => {
    const [{ mesh }] = buildLanes(bandDesign({ taper }));
    const p = mesh.positions;
    const reach = (side: 1 | -1) => {
      let [z, r] = [0, 0];
      for (let i = 0; i < p.length; i += 3) {
        if (Math.abs(p[i]) > 1e-6 || p[i + 1] * side < 0) continue;
        z = Math.max(z, Math.abs(p[i + 2]));
        r = Math.max(r, Math.hypot(p[i], p[i + 1]));
      }
      return [2 * z, r - R];
    };
    expect(reach(1)).toEqual([expect.closeTo(4, 5), expect.closeTo(1.6, 5)]);
    expect(reach(-1)[0]).toBeCloseTo(2.8, 3);
    expect(reach(-1)[1]).toBeCloseTo(1.1, 3);
  });

  it('are refused where the back gets too thin, with the angle and what is left', () => {
    const section = { ...SOFT, name: 'd', domeMm: 0.5, comfortMm: 0 } as const;
    const [problem] = bandProblems(
      bandDesign({ section, taper: { ...taper, widthMm: 4, thicknessMm: 0.7 } }),
    );
    expect(problem.code).toBe('lane-too-shallow');
    expect(problem.received).toContain('at θ = 180.0°');
  });
});

describe.each(Object.entries(BODIES))('%s', (_, design) => {
  const built = buildLanes(design);

  it('is made of closed rings whose normals are those of their surface', () => {
    for (const { mesh } of built) {
      const report = inspectMesh(mesh);
      expect(report.looseEdges).toBe(0);
      expect(report.genus).toBe(1);
      expect(report.normalLengthError).toBeLessThan(1e-6);
      // softenings turn by 1.6 times the 0.17 rad of other surfaces from column to column
      expect(report.leastCosine).toBeGreaterThan(Math.cos(1.6 * 0.17));
    }
  });

  it('has lanes of the volume of their sections, which sum to the whole but for softenings', () => {
    // the wall of a seam is softened by 0.05 mm on both sides: (1 − π/4)·s² each, over the seam's length
    const wave = design.seams.length > 0 ? 2 * (1 - Math.PI / 4) * 0.05 ** 2 * 2 * Math.PI * 11 * 1.3 : 0;
    const whole = laneVolume(wholeBand(design), SECTIONS);
    const volumes = lanesOf(design).map((lane) => laneVolume(lane, SECTIONS));
    const parts = volumes.reduce((sum, volume) => sum + volume, 0);
    expect(parts).toBeLessThan(whole + 1e-3);
    expect(parts).toBeGreaterThan(whole - 1.5 * wave - 1e-9);
    expect(built).toHaveLength(volumes.length);
    for (const [i, { mesh }] of built.entries())
      expect(Math.abs(meshVolume(mesh) / volumes[i] - 1)).toBeLessThan(1e-3);
  });

  it("has the swept surface's own normals (central differences in θ and along the outline)", () => {
    const h = 1e-5;
    for (const lane of lanesOf(design)) {
      for (const theta of [0.1, 0.73, 1.9, 4.3]) {
        const sections = [theta - h, theta, theta + h].map((t) => laneSection(lane, t));
        expect(sections[0]).toHaveLength(sections[1].length);
        sections[1].forEach((piece, k) => {
          if (sections.some((section) => section[k].length === 0)) return;
          for (const u of [0.2, 0.5, 0.9]) {
            const p = piece.at(u);
            const round = [0, 1].map((c) =>
              ['z', 'r'].map((key) => sections[2 * c][k].at(u)[key as 'z' | 'r']),
            );
            const [dz, dr] = [0, 1].map((c) => (round[1][c] - round[0][c]) / (2 * h));
            const [a, b] = [piece.at(u - 1e-5), piece.at(u + 1e-5)];
            const size = Math.hypot(b.z - a.z, b.r - a.r);
            expect(Math.abs(p.nz * (b.z - a.z) + p.nr * (b.r - a.r)) / size).toBeLessThan(1e-6);
            expect(Math.abs(p.nz * dz + p.nr * dr + p.nt * p.r) / p.r).toBeLessThan(1e-6);
          }
        });
      }
    }
  });

  it('is the finished one, moved out along its normals, when metal is left on for polishing', () => {
    const by = 0.04;
    const grown = withPolishAllowance(design, by, []);
    expect(boreRadius(grown)).toBeCloseTo(boreRadius(design) - by, 12);
    for (const theta of [0, Math.PI]) {
      const [before, after] = [outsideSurface(design)(theta), outsideSurface(grown)(theta)];
      for (const z of [-1.2, -0.6, 0, 0.45, 1.1]) {
        const [nz, nr] = normalAt(before, z);
        expect(radiusAt(after, z + by * nz)).toBeCloseTo(radiusAt(before, z) + by * nr, 9);
      }
    }
    expect(bandProblems(grown)).toEqual([]);
  });
});

describe('bodies that cannot be', () => {
  const codes = (section: object, change = {}) =>
    bandProblems(bandDesign({ section: { ...SOFT, name: 'flat', ...section } as never, ...change })).map(
      ({ code, received }) => `${code}: ${received}`,
    );
  const over = {
    seams: [{ kind: 'wave', atMm: 0, amplitudeMm: 1, periods: 3, sharpness: 0, phaseRad: 0 }],
    lanes: ['a', 'b'].map((name) => ({ name, recessMm: 0, softenMm: 0.2 })),
  };
  it.each([
    ['crest-outside: 4.10 mm', { name: 'court', domeMm: 0.2, crestMm: 2.1 }, {}],
    ['step-too-deep: 1.70 mm', { step: { ...STEP, depthMm: 1.7 } }, {}],
    // 1.6 − 1.25 − comfort 0.2, less two softenings of 0.15
    ['step-too-deep: -0.15 mm (shoulder 0.15 mm over the bore)', { step: { ...STEP, depthMm: 1.25 } }, {}],
    ['step-too-wide: 0.00 mm', { step: { ...STEP, widthMm: 2 } }, {}],
    ['step-too-narrow: 0.05 mm', { step: { ...STEP, widthMm: 0.3 } }, {}],
    ['step-too-shallow: -0.03 mm', { step: { ...STEP, depthMm: 0.15 } }, {}],
    ['step-size: 0.8 mm wide, 0 mm deep', { step: { ...STEP, depthMm: 0 } }, {}],
    ['section-incomplete: none', { name: 'bevelled' }, {}],
    ['corner-too-sharp: 0.00 mm', { name: 'knife-edge', ridge: { ...RIDGE, roundMm: 0 } }, {}],
    ['flat-angle: 0.0° and 20.6°', { name: 'knife-edge', ridge: { ...RIDGE, lowRad: 0 } }, {}],
    ['softening-too-round: 0.20 mm', { name: 'knife-edge', ridge: RIDGE }, over],
    ['dome-too-high: 1.00 mm', { name: 'court', domeMm: 1, crestMm: 1.2 }, { thicknessMm: 3 }],
    [
      // 2 − 2 · 1.2, less ρ·tan(α/2) on either side
      'face-too-narrow: -0.426 mm at θ = 180.0°',
      { name: 'bevelled', bevel: { ...BEVEL, lowMm: 1.2, highMm: 1.2 } },
      { taper: { widthMm: 2, thicknessMm: 1.5, seams: [] } },
    ],
  ])('are told: %s', (wanted, section, change) => {
    expect(codes(section, change)).toContainEqual(wanted);
  });
});
