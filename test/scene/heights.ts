import { Vector3 } from 'three';
import type { PlacedBand } from '../../pipeline/scene/pose.ts';

/** More cells than any band has along one side. */
const ROW = 1_000_000;

/** What of a band lies highest or lowest above each cell of the ground, from its triangles. */
export class Heights {
  readonly cell: number;
  readonly #side: 1 | -1;
  readonly #heights = new Map<number, number>();

  /** @param side 1: seen from above, −1: from below */
  constructor({ shape, toWorld }: PlacedBand, side: 1 | -1, cell = 0.2) {
    this.cell = cell;
    this.#side = side;
    const [a, b, c] = [new Vector3(), new Vector3(), new Vector3()];
    for (const { mesh } of shape.lanes)
      for (let t = 0; t < mesh.indices.length; t += 3) {
        [a, b, c].forEach((p, k) => {
          p.fromArray(mesh.positions, 3 * mesh.indices[t + k]).applyMatrix4(toWorld);
        });
        this.#draw(a, b, c);
      }
  }

  /** Undefined where nothing of it is. */
  at(i: number, j: number): number | undefined {
    return this.#heights.get(i * ROW + j);
  }

  cells(): [i: number, j: number][] {
    return [...this.#heights.keys()].map((key) => {
      const i = Math.round(key / ROW);
      return [i, key - i * ROW];
    });
  }

  #draw(a: Vector3, b: Vector3, c: Vector3): void {
    const area = (b.x - a.x) * (c.z - a.z) - (b.z - a.z) * (c.x - a.x);
    if (Math.abs(area) < 1e-12) return;
    const span = (k: 'x' | 'z') => [
      Math.ceil(Math.min(a[k], b[k], c[k]) / this.cell),
      Math.floor(Math.max(a[k], b[k], c[k]) / this.cell),
    ];
    const [[fromI, toI], [fromJ, toJ]] = [span('x'), span('z')];
    for (let i = fromI; i <= toI; i++)
      for (let j = fromJ; j <= toJ; j++) {
        const [x, z] = [i * this.cell - a.x, j * this.cell - a.z];
        const s = (x * (c.z - a.z) - z * (c.x - a.x)) / area;
        const t = ((b.x - a.x) * z - (b.z - a.z) * x) / area;
        if (s < 0 || t < 0 || s + t > 1) continue;
        const y = a.y + s * (b.y - a.y) + t * (c.y - a.y);
        const there = this.at(i, j);
        if (there === undefined || this.#side * (y - there) > 0) this.#heights.set(i * ROW + j, y);
      }
  }
}
