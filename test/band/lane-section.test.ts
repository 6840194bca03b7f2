import { describe, expect, it } from 'vitest';
import { lanesOf, wholeBand } from '../../pipeline/band/lane.ts';
import { laneSection } from '../../pipeline/band/lane-section.ts';
import { boreSurface, outsideSurface } from '../../pipeline/band/outside.ts';
import { midRadius, radiusAt } from '../../pipeline/band/profile.ts';
import { bandDesign, wavyDesign } from './designs.ts';

const court = { name: 'court', domeMm: 0.4, comfortMm: 0.2, edgeMm: 0.3, boreEdgeMm: 0.15 } as const;

describe('section curves', () => {
  it('have the size as their smallest bore: at mid-width, opening to the edges (ISO 8653, excerpt of 2016 wording)', () => {
    const bore = boreSurface(bandDesign({ section: court }))(0);
    expect(2 * Math.PI * radiusAt(bore, 0)).toBeCloseTo(54, 12);
    expect(radiusAt(bore, 2) - radiusAt(bore, 0)).toBeCloseTo(0.2, 12);
    expect(radiusAt(bore, -2)).toBeCloseTo(radiusAt(bore, 2), 12);
  });

  it('are true circular arcs through mid-width and edge', () => {
    const arc = outsideSurface(bandDesign({ section: court }))(0);
    const midR = radiusAt(arc, 0);
    // circle of radius w²/8s + s/2 (circular segment, chord w and sagitta s)
    const radius = (4 * 4) / (8 * 0.4) + 0.4 / 2;
    for (const z of [-2, -1.3, 0, 0.7, 2]) {
      expect(Math.hypot(z, radiusAt(arc, z) - (midR - radius))).toBeCloseTo(radius, 12);
    }
    expect(midR - radiusAt(arc, 2)).toBeCloseTo(0.4, 12);
  });

  it('keep the thickness at mid-width whatever the dome', () => {
    for (const domeMm of [0, 0.2, 0.8]) {
      const design = bandDesign({ section: { ...court, domeMm } });
      expect(midRadius(outsideSurface(design)) - midRadius(boreSurface(design))).toBeCloseTo(1.6, 12);
    }
  });
});

describe('lane outlines', () => {
  it('are closed and turn once, without jumps in direction but at the bore seam', () => {
    for (const lane of lanesOf(wavyDesign())) {
      const pieces = laneSection(lane, 0.77);
      pieces.forEach((piece, i) => {
        const next = pieces[(i + 1) % pieces.length];
        const end = piece.at(1);
        const start = next.at(0);
        expect(Math.hypot(end.z - start.z, end.r - start.r)).toBeLessThan(1e-12);
        const cosine = end.nz * start.nz + end.nr * start.nr + end.nt * start.nt;
        const creased = [piece.kind, next.kind].includes('wall') && [piece.kind, next.kind].includes('bore');
        if (creased) expect(cosine).toBeLessThan(0.5);
        else expect(cosine).toBeGreaterThan(1 - 1e-12);
      });
    }
  });

  it('have fillets of the stated radius', () => {
    const { edgeMm, boreEdgeMm } = court;
    const fillets = laneSection(wholeBand(bandDesign({ section: court })), 0).filter(
      ({ kind }) => kind === 'fillet',
    );
    expect(fillets).toHaveLength(4);
    for (const fillet of fillets) {
      const [a, b, c] = [0, 0.5, 1].map((u) => fillet.at(u));
      const radius = a.r > 9.5 ? edgeMm : boreEdgeMm;
      for (const p of [a, b, c]) {
        // all points lie one radius along their normal from the same centre
        expect(p.z - radius * p.nz).toBeCloseTo(b.z - radius * b.nz, 12);
        expect(p.r - radius * p.nr).toBeCloseTo(b.r - radius * b.nr, 12);
      }
    }
  });

  it("carry the swept surface's own normals (central differences in θ and along the outline)", () => {
    const h = 1e-5;
    for (const lane of lanesOf(wavyDesign())) {
      for (const theta of [0, 0.31, 1.7, 4.4]) {
        const sections = [theta - h, theta, theta + h].map((t) => laneSection(lane, t));
        sections[1].forEach((piece, k) => {
          for (const u of [0.2, 0.5, 0.9]) {
            const p = piece.at(u);
            const before = sections[0][k].at(u);
            const after = sections[2][k].at(u);
            const across = [
              piece.at(u + 1e-5).z - piece.at(u - 1e-5).z,
              piece.at(u + 1e-5).r - piece.at(u - 1e-5).r,
            ];
            const round = [(after.z - before.z) / (2 * h), (after.r - before.r) / (2 * h), p.r];
            const roundSize = Math.hypot(...round);
            const acrossSize = Math.hypot(...across);
            expect(Math.abs(p.nz * across[0] + p.nr * across[1]) / acrossSize).toBeLessThan(1e-7);
            const dot = p.nz * round[0] + p.nr * round[1] + p.nt * round[2];
            expect(Math.abs(dot) / roundSize).toBeLessThan(1e-7);
            expect(Math.hypot(p.nz, p.nr, p.nt)).toBeCloseTo(1, 12);
          }
        });
      }
    }
  });
});
