/**
 * A stand-in for the geometry room: two half-torus lanes that meet at mid-width, and octahedra as stones.
 */
import type { BuiltShape, LaneSolid, StoneRow, TriMesh } from '../../pipeline/band/built-shape.ts';

export const TORUS = { ringMm: 9.5, tubeMm: 1 };
/** Pappus: 2πR × πr². Closed form of the torus that both lanes make together. */
export const TORUS_VOLUME = 2 * Math.PI ** 2 * TORUS.ringMm * TORUS.tubeMm ** 2;

/** Lane = the part of the torus with z < 0 or z > 0, closed by a flat annulus at z = 0. */
function lane(name: string, side: -1 | 1, around: number, across: number): LaneSolid {
  const positions: number[] = [];
  const normals: number[] = [];
  const indices: number[] = [];
  const { ringMm: R, tubeMm: r } = TORUS;
  const sheet = (
    points: (v: number) => { rho: number; z: number; nr: number; nz: number },
    steps: number,
  ) => {
    const base = positions.length / 3;
    for (let i = 0; i <= around; i++) {
      const t = (2 * Math.PI * i) / around;
      for (let j = 0; j <= steps; j++) {
        const { rho, z, nr, nz } = points(j / steps);
        positions.push(rho * Math.sin(t), rho * Math.cos(t), z);
        normals.push(nr * Math.sin(t), nr * Math.cos(t), nz);
      }
    }
    for (let i = 0; i < around; i++) {
      for (let j = 0; j < steps; j++) {
        const a = base + i * (steps + 1) + j;
        const b = a + steps + 1;
        const quad = [a, a + 1, b + 1, a, b + 1, b];
        indices.push(...(side === 1 ? quad : quad.reverse()));
      }
    }
  };
  sheet((v) => {
    const u = side * Math.PI * v; // outer edge → inner edge over the side
    return { rho: R + r * Math.cos(u), z: r * Math.sin(u), nr: Math.cos(u), nz: Math.sin(u) };
  }, across);
  sheet((v) => ({ rho: R - r + 2 * r * v, z: 0, nr: 0, nz: -side }), 4);
  const mesh: TriMesh = {
    positions: Float32Array.from(positions),
    normals: Float32Array.from(normals),
    indices: Uint32Array.from(indices),
  };
  return { name, mesh, volumeMm3: TORUS_VOLUME / 2 };
}

function octahedron(diameterMm: number): TriMesh {
  const h = diameterMm / 2;
  const corners = [
    [h, 0, 0],
    [-h, 0, 0],
    [0, h, 0],
    [0, -h, 0],
    [0, 0, h],
    [0, 0, -h],
  ];
  const positions: number[] = [];
  const normals: number[] = [];
  for (const sx of [1, -1]) {
    for (const sy of [1, -1]) {
      for (const sz of [1, -1]) {
        const face = [corners[sx > 0 ? 0 : 1], corners[sy > 0 ? 2 : 3], corners[sz > 0 ? 4 : 5]];
        if (sx * sy * sz < 0) face.reverse();
        for (const corner of face) {
          positions.push(...corner);
          normals.push(...[sx, sy, sz].map((s) => s / Math.sqrt(3)));
        }
      }
    }
  }
  return {
    positions: Float32Array.from(positions),
    normals: Float32Array.from(normals),
    indices: Uint32Array.from({ length: 24 }, (_, i) => i),
  };
}

function row(count: number, diameterMm: number): StoneRow {
  const placements: number[] = [];
  const radius = TORUS.ringMm + TORUS.tubeMm;
  for (let i = 0; i < count; i++) {
    // stone +z along the outward radius, stone +x along the finger axis
    const t = (2 * Math.PI * i) / count;
    const [s, c] = [Math.sin(t), Math.cos(t)];
    placements.push(0, -c, s, radius * s, 0, s, c, radius * c, -1, 0, 0, 0);
  }
  const mesh = octahedron(diameterMm);
  return {
    name: 'Centre row',
    slot: 0,
    stone: {
      cut: 'princess',
      diameterMm,
      depthMm: diameterMm,
      planes: new Float64Array(32),
      mesh,
      volumeMm3: diameterMm ** 3 / 6,
    },
    placements: Float64Array.from(placements),
    count,
    gapMm: 0.1,
  };
}

export function syntheticShape(
  options: { around?: number; across?: number; stones?: number; stoneMm?: number } = {},
): BuiltShape {
  const { around = 256, across = 24, stones = 12, stoneMm = 0.8 } = options;
  return {
    lanes: [lane('Left', -1, around, across), lane('Right', 1, around, across)],
    rows: stones > 0 ? [row(stones, stoneMm)] : [],
    innerDiameterMm: 2 * (TORUS.ringMm - TORUS.tubeMm),
    circumferenceMm: 2 * Math.PI * (TORUS.ringMm - TORUS.tubeMm),
    widthMm: 2 * TORUS.tubeMm,
    thicknessMm: 2 * TORUS.tubeMm,
    fits: [],
    checks: [],
  };
}

/** Divergence theorem, same units as the positions, cubed. */
export function meshVolume(positions: ArrayLike<number>, indices: ArrayLike<number>): number {
  let six = 0;
  for (let i = 0; i < indices.length; i += 3) {
    const [a, b, c] = [3 * indices[i], 3 * indices[i + 1], 3 * indices[i + 2]];
    six +=
      positions[a] * (positions[b + 1] * positions[c + 2] - positions[b + 2] * positions[c + 1]) +
      positions[a + 1] * (positions[b + 2] * positions[c] - positions[b] * positions[c + 2]) +
      positions[a + 2] * (positions[b] * positions[c + 1] - positions[b + 1] * positions[c]);
  }
  return six / 6;
}
