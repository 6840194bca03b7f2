/**
 * Ray queries against Embree, one core each: the same triangles, the same rays in the same order, both from a flat
 * array of rays to flat arrays of results. Single-ray queries of Embree; its packets need coherent rays.
 */
import { type ChildProcess, execFileSync, spawn } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { fileURLToPath } from 'node:url';
import type { KernelHost } from '../../pipeline/tracer/kernel-host.ts';
import { bareScene, kernel } from '../tracer/kernel-fixture.ts';
import { cpuSeconds, type Measurement, median } from './measurement.ts';
import { primaryRays, ringMesh, scatteredRays } from './ring-scene.ts';

const KINDS = ['primary', 'incoherent', 'occlusion'] as const;
type Kind = (typeof KINDS)[number];
type RaySets = Record<Kind, Float32Array>;
const METAL = { f0: [1, 1, 1], f82: [1, 1, 1] } as {
  f0: [number, number, number];
  f82: [number, number, number];
};

export const embreePeer: Measurement = {
  name: 'embree',
  about: 'rays per second and core against Embree',
  async run({ quick, record, say }) {
    const mesh = ringMesh();
    const host = await kernel();
    host.load(
      bareScene({
        mesh,
        surfaces: [{ alphaX: 0.1, alphaY: 0.1, metal: 0, axis: [0, 1, 0] }],
        colourways: [{ metals: [METAL], gems: [] }],
      }),
    );
    const primary = primaryRays(quick ? 300 : 1000);
    const rays: RaySets = { primary, ...scatteredRays(mesh, primary, host.closest(primary)) };
    const folder = mkdtempSync(join(tmpdir(), 'bandwright-bench-'));
    try {
      const peer = await Peer.start(folder, mesh, rays).catch((error: Error) => {
        say(error.message);
        return undefined;
      });
      for (const kind of KINDS) {
        const { ours, theirs, ratio } = await race(host, peer, kind, rays[kind], quick ? 2 : 7);
        record(`kernel_${kind}_mrays`, ours, 'Mray/s');
        if (!peer) continue;
        record(`embree_${kind}_mrays`, theirs, 'Mray/s');
        record(`embree_${kind}_ratio`, ratio);
        const wrong = differences(kind, rays[kind], host, folder);
        say(`${kind}: ${wrong} of ${rays[kind].length / 6} rays answered differently`);
        record(`embree_${kind}_differences`, wrong);
      }
      peer?.end();
    } finally {
      rmSync(folder, { recursive: true, force: true });
    }
  },
};

/** rays traced by one side before the other has its turn: some 20 ms, in which a machine's load hardly changes */
const STRETCH = 131_072;

/**
 * Both sides by turns on one stretch of rays after another, over and over. Medians of all stretches: Mray/s of each side,
 * and the ratio of the two times of the same stretch.
 */
async function race(
  host: KernelHost,
  peer: Peer | undefined,
  kind: Kind,
  rays: Float32Array,
  rounds: number,
): Promise<{ ours: number; theirs: number; ratio: number }> {
  const count = rays.length / 6;
  const ours: number[] = [];
  const theirs: number[] = [];
  for (let round = -1; round < rounds; round++) {
    for (let from = 0; from < count; from += STRETCH) {
      const million = Math.min(STRETCH, count - from) / 1e6;
      const mine = million / cpuSeconds(() => ask(host, kind, rays.subarray(from * 6, (from + STRETCH) * 6)));
      const other = peer ? million / (await peer.trace(kind, from, STRETCH)) : Number.NaN;
      // the first round only warms both up
      if (round < 0) continue;
      ours.push(mine);
      theirs.push(other);
    }
  }
  return { ours: median(ours), theirs: median(theirs), ratio: median(ours.map((x, i) => x / theirs[i])) };
}

/** In parts, so that their results land in memory that is there already, as on the other side. */
function ask(host: KernelHost, kind: Kind, rays: Float32Array): void {
  const part = 6 * 16_384;
  for (let from = 0; from < rays.length; from += part) {
    if (kind === 'occlusion') host.occluded(rays.subarray(from, from + part));
    else host.closest(rays.subarray(from, from + part));
  }
}

/** Rays for which one side found something else, beyond what rounding can do to the distance (1e-4 of it). */
function differences(kind: Kind, rays: Float32Array, host: KernelHost, folder: string): number {
  const bytes = readFileSync(join(folder, `${kind}.bin`));
  const count = rays.length / 6;
  const found = new Uint8Array(bytes).buffer;
  const distance = new Float32Array(found, 0, count);
  const triangle = new Uint32Array(found, count * 4, count);
  let wrong = 0;
  if (kind === 'occlusion') {
    host.occluded(rays).forEach((hit, i) => {
      if ((hit === 1) !== (triangle[i] !== 0xffffffff)) wrong++;
    });
    return wrong;
  }
  const { t, primitive } = host.closest(rays);
  for (let i = 0; i < count; i++) {
    const [a, b] = [primitive[i] !== 0xffffffff, triangle[i] !== 0xffffffff];
    if (a !== b || (a && !(Math.abs(t[i] - distance[i]) <= 1e-4 * Math.max(1, distance[i])))) wrong++;
  }
  return wrong;
}

/** Our Embree program at the other end of a pipe. */
class Peer {
  private readonly child: ChildProcess;
  private readonly lines: AsyncIterator<string>;

  /** Throws an Error that says what is missing. */
  static async start(folder: string, mesh: ReturnType<typeof ringMesh>, rays: RaySets): Promise<Peer> {
    const program = join(folder, 'embree');
    const source = fileURLToPath(new URL('embree.cpp', import.meta.url));
    const options = ['-std=c++17', '-O3', '-march=native', source, '-lembree3', '-o', program];
    try {
      execFileSync('g++', options, { stdio: ['ignore', 'ignore', 'pipe'] });
    } catch {
      throw new Error('no Embree: `apt-get install g++ libembree-dev` (version 3) gives the peer');
    }
    const scene = join(folder, 'scene.bin');
    const parts = [
      Uint32Array.of(mesh.positions.length / 3, mesh.indices.length / 3),
      mesh.positions,
      mesh.indices,
    ];
    const sets = KINDS.flatMap((kind) => [Uint32Array.of(rays[kind].length / 6), rays[kind]]);
    writeFileSync(
      scene,
      Buffer.concat([...parts, ...sets].map((a) => Buffer.from(a.buffer, a.byteOffset, a.byteLength))),
    );
    return new Peer(spawn(program, [scene, folder], { stdio: ['pipe', 'pipe', 'inherit'] }));
  }

  private constructor(child: ChildProcess) {
    this.child = child;
    this.lines = createInterface({ input: child.stdout! })[Symbol.asyncIterator]();
  }

  /** Processor seconds for a stretch of the rays. */
  async trace(kind: Kind, first: number, count: number): Promise<number> {
    this.child.stdin!.write(`${kind} ${first} ${count}\n`);
    while (true) {
      const { value, done } = await this.lines.next();
      if (done) throw new Error('the Embree program ended early');
      const seconds = Number(value);
      if (seconds > 0) return seconds;
    }
  }

  end(): void {
    this.child.stdin!.end();
  }
}
