/** How time grows with triangles, stones and pixels; the exponent between the ends says it in one number. */
import type { TraceScene } from '../../pipeline/scene/trace-scene.ts';
import { bandMesh, kernel, stoneAt, turned } from '../tracer/kernel-fixture.ts';
import { renderFrame } from './colourways.ts';
import { demoScene } from './demo-band.ts';
import { cpuSeconds, type Measurement, median } from './measurement.ts';

const SIDE = 128;

export const growth: Measurement = {
  name: 'growth',
  about: 'time against triangles, stones and pixels (one core)',
  async run({ quick, record, say }) {
    const base = await demoScene(SIDE, 1);
    const samples = quick ? 1 : 4;
    const measure = async (scene: TraceScene, perPixel = samples) => {
      const host = await kernel();
      const load = cpuSeconds(() => host.load(scene));
      const rounds = Array.from({ length: quick ? 1 : 3 }, () =>
        cpuSeconds(() => renderFrame(host, scene.width, 0, perPixel)),
      );
      return { load, micros: (median(rounds) / (scene.width * scene.width * perPixel)) * 1e6 };
    };
    const plain = { ...base, stones: [], cuts: base.cuts, surfaces: base.surfaces.slice(0, 1) };

    const times: Record<string, number> = {};
    for (const [around, across] of [
      [100, 50],
      [250, 100],
      [500, 200],
    ]) {
      const mesh = bandMesh(9.5, 1.1, 2.4, 10.6, around, across);
      const { load, micros } = await measure({ ...plain, mesh });
      times[mesh.indices.length / 3] = micros;
      say(
        `${mesh.indices.length / 3} triangles: ${load.toFixed(2)} s to load, ${micros.toFixed(2)} µs a path`,
      );
    }
    record('growth_triangles_20x', times[200000] / times[10000], 'times the time for 20 times the triangles');

    const mesh = bandMesh(9.5, 1.1, 2.4, 10.6, 250, 100);
    for (const count of quick ? [0, 50] : [0, 25, 50, 100, 200]) {
      const { micros } = await measure({ ...plain, mesh, stones: ring(count) });
      say(`${count} stones: ${micros.toFixed(2)} µs a path`);
      if (count === 200) record('growth_stones_200_us', micros, 'µs a path');
    }

    for (const side of quick ? [200, 400] : [400, 800, 1600]) {
      const { micros } = await measure({ ...base, width: side, height: side }, 1);
      say(
        `${side}² pixels: ${((micros * side * side) / 1e6).toFixed(2)} s a sample each, ${micros.toFixed(2)} µs a path`,
      );
    }
  },
};

/** Stones of the demo's first cut all round the outside of the band, in three rows where one is not enough. */
function ring(count: number): TraceScene['stones'] {
  const rows = count > 60 ? 3 : 1;
  return Array.from({ length: count }, (_, i) => {
    const a = (2 * Math.PI * i) / count;
    const z = rows === 1 ? 0 : 1.6 * ((i % 3) - 1);
    const r = 10.7;
    // table outwards: +z of the stone's frame turned onto the radius
    const rotation = turned(Math.PI / 2, a + Math.PI / 2);
    return stoneAt([r * Math.cos(a), 10.6 + r * Math.sin(a), z], rotation);
  });
}
