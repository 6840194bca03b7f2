import { describe, expect, it } from 'vitest';
import { boreTriangles, letterTriangles } from '../../pipeline/band/bore.ts';
import { buildLanes } from '../../pipeline/band/build-lanes.ts';
import type { TriMesh } from '../../pipeline/band/built-shape.ts';
import { bandDesign, wavyDesign } from './designs.ts';

function area({ positions: p, indices }: TriMesh, counts: (t: number) => boolean): number {
  let sum = 0;
  for (let t = 0; t < indices.length / 3; t++) {
    if (!counts(t)) continue;
    const [a, b, c] = [0, 1, 2].map((k) => 3 * indices[3 * t + k]);
    const u = [0, 1, 2].map((k) => p[b + k] - p[a + k]);
    const v = [0, 1, 2].map((k) => p[c + k] - p[a + k]);
    sum += Math.hypot(u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]) / 2;
  }
  return sum;
}

const boreArea = (meshes: readonly TriMesh[]) =>
  meshes.reduce((sum, mesh) => {
    const flags = boreTriangles(mesh);
    return sum + area(mesh, (t) => flags[t] === 1);
  }, 0);

describe('the bore', () => {
  it('of a flat band is the cylinder 2πr·w, and with rounded edges an eighth of a turn of each more', () => {
    const sharp = bandDesign({
      section: { name: 'flat', domeMm: 0, comfortMm: 0, edgeMm: 0, boreEdgeMm: 0 },
    });
    const { circumferenceMm: c, widthMm: w } = sharp;
    expect(boreArea(buildLanes(sharp).map((l) => l.mesh)) / (c * w)).toBeCloseTo(1, 3);

    const e = 0.3;
    const round = { ...sharp, section: { ...sharp.section, boreEdgeMm: e } };
    // Pappus: the arc from straight inward to 45°, length πe/4, whose centroid lies e(1 − (2√2)/π·…) above the bore
    const lift = e - (e * Math.sin(Math.PI / 4)) / (Math.PI / 4);
    const arc = (Math.PI / 4) * e * 2 * Math.PI * (c / (2 * Math.PI) + lift);
    const expected = c * (w - 2 * e) + 2 * arc;
    expect(Math.abs(boreArea(buildLanes(round).map((l) => l.mesh)) / expected - 1)).toBeLessThan(0.02);
  });

  it('is shared out among lanes without loss', () => {
    const lanes = buildLanes(wavyDesign()).map((l) => l.mesh);
    for (const mesh of lanes) expect(boreTriangles(mesh).some((f) => f === 1)).toBe(true);
    const { circumferenceMm, widthMm } = wavyDesign();
    const whole = boreArea(lanes) / (circumferenceMm * widthMm);
    expect(whole).toBeGreaterThan(0.9);
    expect(whole).toBeLessThan(1.1);
  });

  it('knows letters cut into it: a pocket of 2 × 1 mm, 0.15 mm deep, and neither rounded edges nor the rest', () => {
    const [lane] = buildLanes(
      bandDesign({ section: { name: 'flat', domeMm: 0, comfortMm: 0.2, edgeMm: 0.2, boreEdgeMm: 0.2 } }),
    );
    const none = letterTriangles(lane.mesh, { atDeg: 180, lengthMm: 2, depthMm: 0.15 });
    expect(none.some((f) => f === 1)).toBe(false);
    // the bore of the same band, pushed outward within the pocket
    const positions = lane.mesh.positions.slice();
    const bore = boreTriangles(lane.mesh);
    const within = (v: number) => {
      const [x, y, z] = positions.subarray(3 * v, 3 * v + 3);
      const r = Math.hypot(x, y);
      return Math.abs(Math.PI - Math.abs(Math.atan2(x, y))) * r < 1 && Math.abs(z) < 0.5;
    };
    const pushed = new Set<number>();
    lane.mesh.indices.forEach((v, i) => {
      if (bore[Math.floor(i / 3)] && within(v)) pushed.add(v);
    });
    for (const v of pushed) {
      const r = Math.hypot(positions[3 * v], positions[3 * v + 1]);
      for (const k of [0, 1]) positions[3 * v + k] *= (r + 0.15) / r;
    }
    const cut = { ...lane.mesh, positions };
    const flags = letterTriangles(cut, { atDeg: 180, lengthMm: 2, depthMm: 0.15 });
    const found = area(cut, (t) => flags[t] === 1);
    const floor = area(cut, (t) => [0, 1, 2].every((k) => pushed.has(cut.indices[3 * t + k])));
    expect(floor).toBeGreaterThan(0.5);
    expect(found).toBeGreaterThan(0.9 * floor);
    const touched = area(cut, (t) => [0, 1, 2].some((k) => pushed.has(cut.indices[3 * t + k])));
    expect(found).toBeLessThan(1.01 * touched);
  });
});
