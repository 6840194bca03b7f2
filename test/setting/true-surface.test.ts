import fc from 'fast-check';
import { expect, it } from 'vitest';
import type { WeldedMesh } from '../../pipeline/band/welded-mesh.ts';
import { seatCutters, seatFor } from '../../pipeline/setting/seat.ts';
import { seatSegments } from '../../pipeline/setting/set-stones.ts';
import { cutStone, type Frame, toStone } from '../../pipeline/setting/stone.ts';
import { unit } from '../../pipeline/setting/vec.ts';

/** Somewhere in the band, leaning. */
const [x, axis] = [unit([0.6, 0.8, 0]), unit([0.8, -0.6, 1])];
const y = unit([
  axis[1] * x[2] - axis[2] * x[1],
  axis[2] * x[0] - axis[0] * x[2],
  axis[0] * x[1] - axis[1] * x[0],
]);
const PLACE: Frame = { origin: [4, 9, -1], x, y, axis };

/** Points all over a mesh's triangles, as distance from the frame's axis and height along it. */
function pointsOf(mesh: WeldedMesh): { rho: number; h: number }[] {
  const parts = 4;
  const found: { rho: number; h: number }[] = [];
  for (let t = 0; t < mesh.indices.length; t += 3) {
    const corners = [0, 1, 2].map((k) => {
      const [px, py, pz] = mesh.positions.subarray(3 * mesh.indices[t + k], 3 * mesh.indices[t + k] + 3);
      return toStone(PLACE, [px, py, pz]);
    });
    for (let i = 0; i <= parts; i++) {
      for (let j = 0; j <= parts - i; j++) {
        const shares = [i, j, parts - i - j].map((n) => n / parts);
        const [px, py, h] = [0, 1, 2].map((k) => corners.reduce((sum, c, n) => sum + shares[n] * c[k], 0));
        found.push({ rho: Math.hypot(px, py), h });
      }
    }
  }
  return found;
}

/** Single precision at some 10 mm from the origin, 0.5 nm a coordinate, through the sums that measure; 5.0 nm was met. */
const ROUNDING = 8e-6;

it('a seat keeps to its hole, cone and opening within the tolerance, and to the metal’s side of the stone', () => {
  fc.assert(
    fc.property(
      fc.double({ min: 0.8, max: 5, noNaN: true }),
      fc.constantFrom(0.001, 0.005, 0.01, 0.05),
      (diameter, chordMm) => {
        const stone = cutStone('round-brilliant', diameter);
        const seat = seatFor(stone, 0.5);
        if (seat.opening.kind !== 'round' || seat.hole?.kind !== 'round') throw new Error('a round seat');
        const [R, r] = [seat.opening.radius, seat.hole.radius];
        const segments = seatSegments(seat, chordMm);
        const [mesh] = seatCutters(PLACE, stone, seat, 1, -4, segments);
        const slope = (seat.bearingTop - seat.bearingFoot) / (R - r);
        let [least, most] = [0, 0];
        for (const { rho, h } of pointsOf(mesh)) {
          if (h < -4 + ROUNDING || h > 1 - ROUNDING) continue;
          // on the cone, measured square to it
          const cone = (h - (seat.bearingFoot + (rho - r) * slope)) / Math.hypot(1, slope);
          const within = h > seat.bearingTop ? R - rho : h < seat.bearingFoot ? r - rho : cone;
          most = Math.max(most, within);
          least = Math.min(least, within);
        }
        expect(least).toBeGreaterThan(-ROUNDING);
        expect(most).toBeLessThan(chordMm + ROUNDING);
        // half the least air is left between the stone and the middle of the seat's sides
        expect(R * Math.cos(Math.PI / segments)).toBeGreaterThan(diameter / 2 + 0.005);
      },
    ),
    { numRuns: 20 },
  );
});
