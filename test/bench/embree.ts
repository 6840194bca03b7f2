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
import { cpuSeconds, inTurns, type Measurement } from './measurement.ts';
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
      const peer = await Peer.start(folder, mesh, rays).catch((error: Error) => say(error.message));
      for (const kind of KINDS) {
        const million = rays[kind].length / 6 / 1e6;
        const ours = () => cpuSeconds(() => ask(host, kind, rays[kind]));
        const rounds = quick ? 1 : 7;
        if (!peer) {
          record(`kernel_${kind}_mrays`, million / (await inTurns(rounds, { ours })).ours, 'Mray/s');
          continue;
        }
        const times = await inTurns(rounds, { ours, theirs: () => peer.round(kind) });
        record(`kernel_${kind}_mrays`, million / times.ours, 'Mray/s');
        record(`embree_${kind}_mrays`, million / times.theirs, 'Mray/s');
        record(`embree_${kind}_ratio`, times.theirs / times.ours);
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

/** In parts, so that their results land in memory that is there already, as on the other side. */
function ask(host: KernelHost, kind: Kind, rays: Float32Array): void {
  const part = 6 * 32_768;
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

  /** Processor seconds of one round. */
  async round(kind: Kind): Promise<number> {
    this.child.stdin!.write(`${kind}\n`);
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
