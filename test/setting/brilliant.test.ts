import { describe, expect, it } from 'vitest';
import { FINE_BRILLIANT, roundBrilliant } from '../../pipeline/setting/brilliant.ts';
import { intersectHalfSpaces } from '../../pipeline/setting/convex-solid.ts';
import { cutStone } from '../../pipeline/setting/stone.ts';
import { inspectMesh } from '../band/closed-mesh.ts';

const diameter = 6.5;
const planes = roundBrilliant(diameter);
const solid = intersectHalfSpaces(planes, diameter);
const stone = cutStone('round-brilliant', diameter);

describe('round brilliant', () => {
  it('has 57 facets (33 crown, 24 pavilion: 16 CFR 23.17 asks for 32 + table above and 24 below) and 32 girdle planes, each with its own polygon', () => {
    const count = (facet: string) => planes.filter((p) => p.facet === facet).length;
    expect(count('table')).toBe(1);
    expect(count('star') + count('bezel') + count('upper-half')).toBe(8 + 8 + 16);
    expect(count('main') + count('lower-half')).toBe(8 + 16);
    expect(count('girdle')).toBe(32);
    expect(planes).toHaveLength(57 + 32);
    for (const ring of solid.polygons) expect(ring.length).toBeGreaterThanOrEqual(3);
  });

  it('has facets that meet in points: the outline of every facet is that of a real brilliant', () => {
    // corners per facet; a half facet's third side is two girdle edges
    const corners = { table: 8, star: 3, bezel: 4, 'upper-half': 4, girdle: 4, 'lower-half': 4, main: 4 };
    planes.forEach(({ facet }, i) => {
      expect(solid.polygons[i]).toHaveLength(corners[facet as keyof typeof corners]);
    });
    const edges = solid.polygons.reduce((sum, ring) => sum + ring.length, 0) / 2;
    expect(solid.corners.length - edges + solid.polygons.length).toBe(2);
  });

  it('has the proportions it was asked for', () => {
    const at = (facet: string, pick: (p: readonly number[]) => number) =>
      solid.polygons.flatMap((ring, i) =>
        planes[i].facet === facet ? ring.map((c) => pick(solid.corners[c])) : [],
      );
    const radius = (p: readonly number[]) => Math.hypot(p[0], p[1]);
    const height = (p: readonly number[]) => p[2];
    expect(Math.max(...at('table', radius)) / (diameter / 2)).toBeCloseTo(FINE_BRILLIANT.table, 6);
    expect(Math.max(...at('girdle', radius)) / (diameter / 2)).toBeCloseTo(1, 6);
    // crown 14.8 %, pavilion 43.1 %, girdle 3 % → depth 60.9 %, by the tangents of the angles
    expect((Math.max(...at('bezel', height)) - Math.min(...at('bezel', height))) / diameter).toBeCloseTo(
      0.1478,
      4,
    );
    expect((Math.max(...at('main', height)) - Math.min(...at('main', height))) / diameter).toBeCloseTo(
      0.4308,
      4,
    );
    expect((Math.max(...at('girdle', height)) - Math.min(...at('girdle', height))) / diameter).toBeCloseTo(
      0.03,
      6,
    );
    expect(stone.solid.depthMm / diameter).toBeCloseTo(0.609, 3);
  });

  it('has the volume of an independent 57-plane solid: 0.2096 d³ (derived reference), to 1 %', () => {
    expect(Math.abs(solid.volume / diameter ** 3 / 0.2096 - 1)).toBeLessThan(0.01);
    expect(stone.solid.volumeMm3).toBe(solid.volume);
  });

  it('weighs what the trade formula d² · depth · 0.0061 says, to 3 %, at 3.52 g/cm³', () => {
    const carats = (solid.volume * 3.52) / 200;
    expect(Math.abs(carats / (diameter ** 2 * stone.solid.depthMm * 0.0061) - 1)).toBeLessThan(0.03);
  });

  it('of 53 % table and a knife-edge girdle is 59.3 % deep with a 16.2 % crown (Tolkowsky 1919)', () => {
    const knife = { ...FINE_BRILLIANT, table: 0.53, girdle: 0 };
    const heights = intersectHalfSpaces(
      roundBrilliant(1, knife).filter(({ facet }) => facet !== 'girdle'),
      1,
    ).corners.map((p) => p[2]);
    expect(Math.max(...heights)).toBeCloseTo(0.162, 2);
    expect(Math.max(...heights) - Math.min(...heights)).toBeCloseTo(0.593, 2);
  });

  it('has a closed flat-shaded mesh that lies in its planes', () => {
    const report = inspectMesh(stone.solid.mesh);
    expect(report.looseEdges).toBe(0);
    expect(report.genus).toBe(0);
    expect(report.leastCosine).toBeGreaterThan(1 - 1e-5);
    const { planes: flat, mesh } = stone.solid;
    for (let k = 0; k < flat.length; k += 4) {
      let reach = Number.NEGATIVE_INFINITY;
      for (let i = 0; i < mesh.positions.length; i += 3) {
        const [x, y, z] = mesh.positions.subarray(i, i + 3);
        reach = Math.max(reach, flat[k] * x + flat[k + 1] * y + flat[k + 2] * z);
      }
      expect(reach).toBeCloseTo(flat[k + 3], 5);
    }
  });
});
