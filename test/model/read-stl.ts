import { STLLoader } from 'three/addons/loaders/STLLoader.js';

/** Volume, edges that no neighbour runs along the other way, and triangles of a binary STL by three.js's reader. */
export function readStl(data: Uint8Array): { volume: number; open: number; triangles: number } {
  const bytes = data.buffer.slice(data.byteOffset, data.byteOffset + data.byteLength) as ArrayBuffer;
  const p = new STLLoader().parse(bytes).getAttribute('position').array;
  const edges = new Map<string, number>();
  let six = 0;
  for (let t = 0; t < p.length; t += 9) {
    const [a, b, c] = [0, 3, 6].map((k) => [p[t + k], p[t + k + 1], p[t + k + 2]]);
    six +=
      a[0] * (b[1] * c[2] - b[2] * c[1]) +
      a[1] * (b[2] * c[0] - b[0] * c[2]) +
      a[2] * (b[0] * c[1] - b[1] * c[0]);
    for (const [u, v] of [
      [a, b],
      [b, c],
      [c, a],
    ]) {
      edges.set(`${u}|${v}`, (edges.get(`${u}|${v}`) ?? 0) + 1);
      edges.set(`${v}|${u}`, (edges.get(`${v}|${u}`) ?? 0) - 1);
    }
  }
  return {
    volume: six / 6,
    open: [...edges.values()].filter((n) => n !== 0).length,
    triangles: p.length / 9,
  };
}
