/**
 * How long solids take: one shape of 60 stones with seats and claws, how that grows with stones and tolerance, and a
 * thousand shapes on two processes while their memory is sampled. Seconds are of processor time.
 */
import { spawn } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import type { BuiltShape } from '../../pipeline/band/built-shape.ts';
import type { ShapeDesign } from '../../pipeline/plan/design.ts';
import { readPlan } from '../../pipeline/plan/read-plan.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { type Measurement, median } from './measurement.ts';

/** The template's default chord tolerance, mm. */
const DEFAULT_TOLERANCE_MM = 0.005;
const ROUNDS = 3;

/** Stones that the band of the growth has room for. */
const ROOM = 80;

export const shapes: Measurement = {
  name: 'shapes',
  about: 'solids of 60 stones with claws, their growth, and 1000 shapes on two processes (100 with --quick)',
  async run({ quick, record, say }) {
    const band = await demoDesign();
    const sixty = stonesOn(band, 60, DEFAULT_TOLERANCE_MM);
    await buildShape(sixty);
    const whole = await cost(sixty);
    record('shape_60_stones_s', whole.seconds, 's');
    record('shape_60_stones_triangles', whole.triangles);
    record('shapes_per_second', 1 / whole.seconds, '1/s per core');
    const grown: number[] = [];
    for (const count of [10, 20, 40, ROOM]) {
      const { seconds, triangles } = await cost(stonesOn(band, count, DEFAULT_TOLERANCE_MM, ROOM));
      record(`shape_${count}_stones_s`, seconds, 's');
      say(`  ${triangles} triangles`);
      grown.push(seconds);
    }
    // what a stone more costs, of the first few and of the last: equal where growth is linear
    record('shape_ms_per_stone_10_to_40', (1000 * (grown[2] - grown[0])) / 30, 'ms');
    record('shape_ms_per_stone_40_to_80', (1000 * (grown[3] - grown[2])) / 40, 'ms');
    for (const tolerance of [0.02, 0.01, 0.0025]) {
      const { seconds, triangles } = await cost(stonesOn(band, 60, tolerance));
      record(`shape_60_stones_${tolerance * 1000}_um_s`, seconds, 's');
      record(`shape_60_stones_${tolerance * 1000}_um_triangles`, triangles);
    }
    await grid(quick ? 100 : 1000, { record, say });
  },
};

async function demoDesign(): Promise<ShapeDesign> {
  const { plan } = await readPlan('test/bench/band.yaml');
  const design = Object.values(plan.shapes).find(({ rows }) => rows.length > 0);
  if (!design) throw new Error('the demo has no shape with a row');
  return design;
}

/** The demo's wave with a row of as many stones, on a band on which `room` of them at their pitch close the round. */
export function stonesOn(
  band: ShapeDesign,
  count: number,
  chordToleranceMm: number,
  room = count,
): ShapeDesign {
  const [row] = band.rows;
  const pitch = row.diameterMm + row.leastGapMm + 0.03;
  const height = band.thicknessMm - row.setDepthMm;
  const arc = { kind: 'arc', angleRad: (2 * Math.PI * count) / room } as const;
  return {
    ...band,
    circumferenceMm: room * pitch - 2 * Math.PI * height,
    rows: [{ ...row, coverage: count === room ? { kind: 'full' } : arc, count }],
    chordToleranceMm,
  };
}

async function cost(design: ShapeDesign): Promise<{ seconds: number; triangles: number }> {
  const times: number[] = [];
  let triangles = 0;
  for (let round = 0; round < ROUNDS; round++) {
    const before = process.cpuUsage();
    const shape = await buildShape(design);
    const { user, system } = process.cpuUsage(before);
    times.push((user + system) / 1e6);
    triangles = trianglesOf(shape);
  }
  return { seconds: median(times), triangles };
}

/** Of the metal and of every stone in its place. */
function trianglesOf({ lanes, rows }: BuiltShape): number {
  const metal = lanes.reduce((sum, { mesh }) => sum + mesh.indices.length / 3, 0);
  return rows.reduce((sum, { stone, count }) => sum + (count * stone.mesh.indices.length) / 3, metal);
}

/** Half of the shapes each on two processes; seconds of the busier one, memory of both together. */
async function grid(
  count: number,
  { record, say }: Pick<Parameters<Measurement['run']>[0], 'record' | 'say'>,
): Promise<void> {
  const script = fileURLToPath(new URL('shapes-worker.ts', import.meta.url));
  const start = performance.now();
  const samples = await Promise.all([0, 1].map((part) => worker(script, part, count / 2)));
  const both = samples[0].map(({ built, megabytes }, i) => ({
    built: built + samples[1][i].built,
    megabytes: megabytes + samples[1][i].megabytes,
  }));
  const name = `shapes_${count}`;
  record(`${name}_s`, Math.max(...samples.map((list) => list.at(-1)!.seconds)), 's of processor time');
  record(`${name}_wall_minutes`, (performance.now() - start) / 60_000, 'min');
  record(`${name}_built`, both.at(-1)!.built);
  record(`${name}_memory_mb_first`, both[0].megabytes, 'MB');
  record(`${name}_memory_mb_last`, both.at(-1)!.megabytes, 'MB');
  // the first samples still see the heaps fill up to what one shape needs
  record(`${name}_memory_mb_per_100`, 100 * slope(both.slice(2)), 'MB');
  for (const list of samples) say(`  ${list.map(({ megabytes }) => megabytes.toFixed(0)).join(' ')} MB`);
}

/** Megabytes a shape, by least squares. */
function slope(points: readonly { built: number; megabytes: number }[]): number {
  const mean = (of: (p: (typeof points)[number]) => number) =>
    points.reduce((sum, p) => sum + of(p), 0) / points.length;
  const [middle, level] = [mean((p) => p.built), mean((p) => p.megabytes)];
  const rise = points.reduce((sum, p) => sum + (p.built - middle) * (p.megabytes - level), 0);
  return rise / points.reduce((sum, p) => sum + (p.built - middle) ** 2, 0);
}

interface Sample {
  built: number;
  seconds: number;
  megabytes: number;
}

function worker(script: string, part: number, count: number): Promise<Sample[]> {
  const child = spawn(
    process.execPath,
    ['--import', './pipeline/cli/typescript.mjs', script, String(part), String(count)],
    {
      stdio: ['ignore', 'pipe', 'inherit'],
    },
  );
  let text = '';
  child.stdout.on('data', (chunk) => {
    text += chunk;
  });
  return new Promise((resolve, reject) => {
    child.once('error', reject);
    child.once('close', (code) => {
      if (code !== 0) reject(new Error(`a worker ended with ${code}`));
      else
        resolve(
          text
            .trim()
            .split('\n')
            .map((line) => JSON.parse(line) as Sample),
        );
    });
  });
}
