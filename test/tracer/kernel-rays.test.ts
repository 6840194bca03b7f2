import { BufferAttribute, BufferGeometry, DoubleSide, Ray, Vector3 } from 'three';
import { MeshBVH } from 'three-mesh-bvh';
import { beforeAll, describe, expect, it } from 'vitest';
import type { KernelHost } from '../../pipeline/tracer/kernel-host.ts';
import { bandMesh, bareScene, brilliantPlanes, kernel, numbers, stoneAt, turned } from './kernel-fixture.ts';

let host: KernelHost;
beforeAll(async () => {
  host = await kernel();
});

const surfaces = [{ alphaX: 0.01, alphaY: 0.01, metal: 0, axis: [0, 0, 1] as [number, number, number] }];
const colourways = [{ metals: [{ f0: [1, 1, 1], f82: [1, 1, 1] }] as never, gems: [] }];

/** Half the rays start outside and aim at the band's box, half start inside the hole and go anywhere. */
function rays(count: number, seed: number): Float32Array {
  const random = numbers(seed);
  const out = new Float32Array(count * 6);
  for (let i = 0; i < count; i++) {
    const inside = i % 2 === 1;
    const o = inside
      ? [random() * 8 - 4, 10 + random() * 8 - 4, random() * 4 - 2]
      : [random() * 80 - 40, random() * 60 - 10, 20 + random() * 40];
    const t = inside
      ? [random() * 2 - 1 + o[0], random() * 2 - 1 + o[1], random() * 2 - 1 + o[2]]
      : [random() * 24 - 12, random() * 24 - 2, random() * 6 - 3];
    out.set(o, 6 * i);
    out.set([t[0] - o[0], t[1] - o[1], t[2] - o[2]], 6 * i + 3);
  }
  return out;
}

describe('triangles', () => {
  it('hits what three-mesh-bvh hits, at the same distance, on 20,000 rays', () => {
    const mesh = bandMesh(9.5, 1.1, 2.4, 10.6, 256, 64);
    host.load(bareScene({ mesh, surfaces, colourways }));
    const geometry = new BufferGeometry();
    geometry.setAttribute('position', new BufferAttribute(mesh.positions, 3));
    geometry.setIndex(new BufferAttribute(mesh.indices.slice(), 1));
    const reference = new MeshBVH(geometry, { indirect: true });

    const queries = rays(20_000, 7);
    const { t, primitive } = host.closest(queries);
    const blocked = host.occluded(queries);
    let hits = 0;
    let mismatches = 0;
    let anyHitDisagrees = 0;
    for (let i = 0; i < t.length; i++) {
      const [ox, oy, oz, dx, dy, dz] = queries.subarray(6 * i, 6 * i + 6);
      // the reference takes unit directions
      const length = Math.hypot(dx, dy, dz);
      const direction = new Vector3(dx, dy, dz).divideScalar(length);
      const back = reference.raycastFirst(new Ray(new Vector3(ox, oy, oz), direction), DoubleSide);
      const expected = back ? back.distance / length : Number.POSITIVE_INFINITY;
      if (back) hits++;
      if (
        primitive[i] === 0xffffffff
          ? back !== null
          : !(Math.abs(t[i] - expected) < 2e-5 * Math.max(1, expected))
      ) {
        mismatches++;
      }
      if ((blocked[i] === 1) !== (primitive[i] !== 0xffffffff)) anyHitDisagrees++;
    }
    expect(hits).toBeGreaterThan(5_000);
    expect(mismatches).toBe(0);
    expect(anyHitDisagrees).toBe(0);
  });

  it('leaves no gap along shared edges: rays through mesh vertices from outside a closed solid always hit', () => {
    const mesh = bandMesh(9.5, 1.1, 2.4, 10.6, 64, 16);
    host.load(bareScene({ mesh, surfaces, colourways }));
    const count = mesh.positions.length / 3;
    const queries = new Float32Array(count * 6);
    for (let i = 0; i < count; i++) {
      const p = mesh.positions.subarray(3 * i, 3 * i + 3);
      const n = mesh.normals.subarray(3 * i, 3 * i + 3);
      queries.set([p[0] + 5 * n[0], p[1] + 5 * n[1], p[2] + 5 * n[2], -n[0], -n[1], -n[2]], 6 * i);
    }
    expect(host.occluded(queries).every((hit) => hit === 1)).toBe(true);
  });

  it('copes with axis-parallel rays in the plane of box faces', () => {
    const mesh = bandMesh(9.5, 1.1, 2.4, 10.6, 64, 16);
    host.load(bareScene({ mesh, surfaces, colourways }));
    // straight down through the top of the band, y = 10.6 + 9.5 + 1.1 = 21.2
    const { t } = host.closest(new Float32Array([0, 31.2, 0, 0, -1, 0]));
    expect(t[0]).toBeCloseTo(10, 4);
  });
});

describe('stones', () => {
  const clear = [{ metals: [], gems: [{ absorption: [0, 0, 0] as [number, number, number] }] }];
  const planes = brilliantPlanes(3);
  const poses = Array.from({ length: 12 }, (_, i) =>
    stoneAt([(i % 4) * 4 - 6, 8 + Math.floor(i / 4) * 4, (i % 3) - 1], turned(i * 0.7, i * 1.3)),
  );

  it('are entered where half-space clipping in double precision says, on 20,000 rays', () => {
    host.load(
      bareScene({ cuts: [planes], stones: poses, gems: [{ cauchyA: 2.4, cauchyB: 0 }], colourways: clear }),
    );
    const queries = rays(20_000, 11);
    const { t, primitive } = host.closest(queries);
    const blocked = host.occluded(queries);
    let hits = 0;
    let mismatches = 0;
    for (let i = 0; i < t.length; i++) {
      const ray = queries.subarray(6 * i, 6 * i + 6);
      let best = Number.POSITIVE_INFINITY;
      let grazing = false;
      for (const { toWorld: m } of poses) {
        const o = [0, 1, 2].map(
          (k) => m[k] * (ray[0] - m[3]) + m[4 + k] * (ray[1] - m[7]) + m[8 + k] * (ray[2] - m[11]),
        );
        const d = [0, 1, 2].map((k) => m[k] * ray[3] + m[4 + k] * ray[4] + m[8 + k] * ray[5]);
        let enter = Number.NEGATIVE_INFINITY;
        let exit = Number.POSITIVE_INFINITY;
        for (let p = 0; p < planes.length; p += 4) {
          const nd = planes[p] * d[0] + planes[p + 1] * d[1] + planes[p + 2] * d[2];
          const room = planes[p + 3] - planes[p] * o[0] - planes[p + 1] * o[1] - planes[p + 2] * o[2];
          if (nd < 0) enter = Math.max(enter, room / nd);
          else exit = Math.min(exit, room / nd);
        }
        // chords below 1e-5 of the ray may fall either way in single precision
        if (Math.abs(exit - enter) < 1e-5 || Math.abs(enter) < 1e-5) grazing = true;
        if (enter > 0 && enter < exit && enter < best) best = enter;
      }
      if (grazing) continue;
      if (best < Number.POSITIVE_INFINITY) hits++;
      const found = primitive[i] !== 0xffffffff;
      if (
        found !== best < Number.POSITIVE_INFINITY ||
        (found && Math.abs(t[i] - best) > 2e-5 * Math.max(1, best))
      )
        mismatches++;
      if ((blocked[i] === 1) !== found) mismatches++;
    }
    expect(hits).toBeGreaterThan(1000);
    expect(mismatches).toBe(0);
  });

  it('refuse planes that enclose nothing', () => {
    const open = new Float32Array([0, 0, 1, 1, 0, 0, -1, 1, 1, 0, 0, 1]);
    expect(() =>
      host.load(
        bareScene({
          cuts: [open],
          stones: [poses[0]],
          gems: [{ cauchyA: 2.4, cauchyB: 0 }],
          colourways: clear,
        }),
      ),
    ).toThrow(RangeError);
  });
});
