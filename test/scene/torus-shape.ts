import type { BuiltShape } from '../../pipeline/band/built-shape.ts';

/** A torus as a stand-in for a band: exact bounds are known in closed form. */
export function torusShape(innerDiameterMm: number, tubeMm: number): BuiltShape {
  const major = innerDiameterMm / 2 + tubeMm;
  const nu = 128;
  const nv = 48;
  const positions = new Float32Array(nu * nv * 3);
  const normals = new Float32Array(nu * nv * 3);
  const indices: number[] = [];
  for (let i = 0; i < nu; i++) {
    for (let j = 0; j < nv; j++) {
      const a = (2 * Math.PI * i) / nu;
      const b = (2 * Math.PI * j) / nv;
      const r = major + tubeMm * Math.cos(b);
      const o = 3 * (i * nv + j);
      positions.set([r * Math.sin(a), r * Math.cos(a), tubeMm * Math.sin(b)], o);
      normals.set([Math.cos(b) * Math.sin(a), Math.cos(b) * Math.cos(a), Math.sin(b)], o);
      const p = i * nv + j;
      const q = ((i + 1) % nu) * nv + j;
      const s = i * nv + ((j + 1) % nv);
      const t = ((i + 1) % nu) * nv + ((j + 1) % nv);
      indices.push(p, t, q, p, s, t);
    }
  }
  return {
    lanes: [
      {
        name: 'body',
        mesh: { positions, normals, indices: Uint32Array.from(indices) },
        volumeMm3: 2 * Math.PI ** 2 * major * tubeMm ** 2,
      },
    ],
    rows: [],
    innerDiameterMm,
    circumferenceMm: Math.PI * innerDiameterMm,
    widthMm: 2 * tubeMm,
    thicknessMm: 2 * tubeMm,
    fits: [],
    checks: [],
  };
}
