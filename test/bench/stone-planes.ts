/**
 * A stone as a set of planes against the same stone as triangles: rays that enter it from outside, among the band's
 * other stones, and rays inside on their way to the facet they meet. Inside, the planes have no rival that answers as
 * safely: a ray that starts on a triangle has to be kept from meeting it again.
 */
import type { TraceScene } from '../../pipeline/scene/trace-scene.ts';
import { bareScene, kernel, numbers } from '../tracer/kernel-fixture.ts';
import { demoBand } from './demo-band.ts';
import { cpuSeconds, inTurns, type Measurement } from './measurement.ts';

const IDENTITY = new Float32Array([1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0]);
const METAL = { f0: [1, 1, 1], f82: [1, 1, 1] } as {
  f0: [number, number, number];
  f82: [number, number, number];
};
/** a visit as paths make it: one entry, then reflections inside (mix from memory of brilliants, near enough) */
const INSIDE = 4;

export const stonePlanes: Measurement = {
  name: 'stones',
  about: 'stones as planes against the same stones as triangles',
  async run({ quick, record, say }) {
    const { scene, stone } = await demoBand();
    const { mesh } = stone;
    const single = [{ cut: 0, gem: 0, toWorld: IDENTITY }];
    const cut = Float32Array.from(stone.planes);
    say(
      `${stone.planes.length / 4} planes, ${mesh.indices.length / 3} triangles, ${scene.stones.length} stones`,
    );

    const batches = quick ? 10 : 60;
    const outside = entering(scene, 4096 * batches);
    const inside = within(stone.planes, stone.diameterMm, 4096);
    const band = { planes: await kernel(), triangles: await kernel() };
    band.planes.load(asPlanes(cut, scene.stones));
    band.triangles.load(asTriangles(mesh, scene.stones));
    const one = { planes: await kernel(), triangles: await kernel() };
    one.planes.load(asPlanes(cut, single));
    one.triangles.load(asTriangles(mesh, single));

    const place = one.planes.scratch(inside.length);
    place.values.set(inside);
    const leave = () => {
      for (let i = 0; i < batches; i++) one.planes.kernel.probeLeave(0, place.at, 4096);
    };
    const times = await inTurns(quick ? 1 : 5, {
      enterPlanes: () => cpuSeconds(() => band.planes.closest(outside)),
      enterTriangles: () => cpuSeconds(() => band.triangles.closest(outside)),
      leavePlanes: () => cpuSeconds(leave),
      leaveTriangles: () =>
        cpuSeconds(() => {
          for (let i = 0; i < batches; i++) one.triangles.closest(inside);
        }),
    });
    const million = (4096 * batches) / 1e6;
    record('stone_enter_planes_mrays', million / times.enterPlanes, 'Mray/s');
    record('stone_enter_triangles_mrays', million / times.enterTriangles, 'Mray/s');
    record('stone_inside_planes_mrays', million / times.leavePlanes, 'Mray/s');
    record('stone_inside_triangles_mrays', million / times.leaveTriangles, 'Mray/s');
    record('stone_enter_ratio', times.enterTriangles / times.enterPlanes);
    record('stone_inside_ratio', times.leaveTriangles / times.leavePlanes);
    record(
      'stone_planes_ratio',
      (times.enterTriangles + INSIDE * times.leaveTriangles) /
        (times.enterPlanes + INSIDE * times.leavePlanes),
      `(one entry, ${INSIDE} ways inside)`,
    );
  },
};

function asPlanes(cut: Float32Array, stones: TraceScene['stones']): TraceScene {
  return bareScene({
    cuts: [cut],
    stones: stones.map((s) => ({ ...s, cut: 0, gem: 0 })),
    gems: [{ cauchyA: 2.4, cauchyB: 0 }],
    colourways: [{ metals: [], gems: [{ absorption: [0, 0, 0] }] }],
  });
}

function asTriangles(
  mesh: TraceScene['mesh'] | { positions: Float32Array; indices: Uint32Array },
  stones: TraceScene['stones'],
): TraceScene {
  const vertices = mesh.positions.length / 3;
  const positions = new Float32Array(mesh.positions.length * stones.length);
  const indices = new Uint32Array(mesh.indices.length * stones.length);
  stones.forEach(({ toWorld: m }, s) => {
    for (let v = 0; v < vertices; v++) {
      const [x, y, z] = mesh.positions.subarray(3 * v, 3 * v + 3);
      for (let k = 0; k < 3; k++) {
        positions[3 * (s * vertices + v) + k] =
          m[4 * k] * x + m[4 * k + 1] * y + m[4 * k + 2] * z + m[4 * k + 3];
      }
    }
    mesh.indices.forEach((i, k) => {
      indices[s * mesh.indices.length + k] = i + s * vertices;
    });
  });
  return bareScene({
    mesh: {
      positions,
      indices,
      normals: new Float32Array(positions.length),
      surface: new Uint16Array(indices.length / 3),
    },
    surfaces: [{ alphaX: 0.1, alphaY: 0.1, metal: 0, axis: [0, 1, 0] }],
    colourways: [{ metals: [METAL], gems: [] }],
  });
}

/** From a sphere round the band to places within the stones. */
function entering(scene: TraceScene, count: number): Float32Array {
  const random = numbers(3);
  const rays = new Float32Array(count * 6);
  for (let i = 0; i < count; i++) {
    const m = scene.stones[Math.floor(random() * scene.stones.length)].toWorld;
    const h = 2 * random() - 1;
    const a = 2 * Math.PI * random();
    const flat = Math.sqrt(1 - h * h);
    const from = [60 * flat * Math.cos(a), 10 + 60 * h, 60 * flat * Math.sin(a)];
    const to = [3, 7, 11].map((k) => m[k] + 2 * (random() - 0.5));
    rays.set(from, 6 * i);
    rays.set(unit(to.map((t, k) => t - from[k])), 6 * i + 3);
  }
  return rays;
}

/** Even over the inside, all directions. */
function within(planes: Float64Array, diameter: number, count: number): Float32Array {
  const random = numbers(5);
  const rays = new Float32Array(count * 6);
  for (let i = 0; i < count; ) {
    const p = [0, 1, 2].map(() => (random() - 0.5) * diameter);
    let inside = true;
    for (let k = 0; k < planes.length && inside; k += 4) {
      inside = planes[k] * p[0] + planes[k + 1] * p[1] + planes[k + 2] * p[2] < planes[k + 3];
    }
    const d = [0, 1, 2].map(() => 2 * random() - 1);
    if (!inside || Math.hypot(...d) > 1) continue;
    rays.set(p, 6 * i);
    rays.set(unit(d), 6 * i + 3);
    i++;
  }
  return rays;
}

function unit(a: number[]): number[] {
  const l = Math.hypot(...a);
  return a.map((x) => x / l);
}
