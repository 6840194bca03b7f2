/** Scenes of the live view that take over from one another are traced to the bits of scenes made afresh. */
import { beforeAll, describe, expect, it } from 'vitest';
import { Composer } from '../../pipeline/look/reader/composer.ts';
import type { SceneOrder, TreeGrowth } from '../../pipeline/look/reader/orders.ts';
import { encodeSolids } from '../../pipeline/look/solids-blob.ts';
import { lookView } from '../../pipeline/look/views.ts';
import type { Plan } from '../../pipeline/plan/plan.ts';
import { buildSolids } from '../../pipeline/setting/build-solids.ts';
import { growBranch } from '../../pipeline/tracer/acceleration.ts';
import { fillSparse, GROUND_FLOATS } from '../../pipeline/tracer/ground-grid.ts';
import { GRID } from '../../pipeline/tracer/kernel/layout.ts';
import type { KernelHost } from '../../pipeline/tracer/kernel-host.ts';
import { config, planOf } from '../plan/workspace.ts';
import { kernel } from '../tracer/kernel-fixture.ts';

const SIZE = 24;
const BASE = {
  template: 'template: two-tone-straight',
  lights: 'lights: side-window',
  shots: `shots: [{ view: three-quarter, frame: ${SIZE * 4} px }]`,
};
let plan: Plan;
let solids: SceneOrder['solids'];

/** The plan of two colourways, of which the first lane and a finish are chosen. */
async function dressed({
  near = 'yellow-18',
  finish = 'polished',
  lights = 'side-window',
} = {}): Promise<Plan> {
  const metal = (slug: string, far: string) =>
    `{ label: ${slug}, slug: ${slug}, value: { near-rail: ${near}, inlay: white-18, far-rail: ${far} } }`;
  const { plan } = await planOf(
    config({
      ...BASE,
      lights: `lights: ${lights}`,
      overrides: `overrides: { chord-tolerance: 0.06 mm, lanes: { inlay: { finish: ${finish} } } }`,
      grid: `grid: { size: [ISO 53], metal: [${metal('A', 'yellow-18')}, ${metal('B', 'platinum-950')}] }`,
    }),
  );
  return plan;
}

beforeAll(async () => {
  plan = await dressed();
  const [design] = Object.values(plan.shapes);
  const { buffer } = encodeSolids((await buildSolids(design)).solids);
  solids = [{ key: 'band', blob: buffer as unknown as SharedArrayBuffer }];
});

function order(of: Plan, view: string, change: Partial<SceneOrder> = {}): SceneOrder {
  const { shot, looks } = lookView(of, { sku: of.variants[0].sku, shot: view }, undefined)!;
  const frame = { ...shot, widthPx: SIZE, heightPx: SIZE };
  return { shot: frame, looks, solids, turn: { angle: 0, rise: 0 }, draft: false, ...change };
}

/** What the crew has done for a scene. */
class Hand {
  static async create(): Promise<Hand> {
    return new Hand(await kernel());
  }

  private readonly kernel: KernelHost;
  private readonly composer: Composer;

  private constructor(kernel: KernelHost) {
    this.kernel = kernel;
    this.composer = new Composer(kernel);
  }

  /** @returns whether the scene was packed anew, and its tree grown */
  compose(scene: SceneOrder): { packed: boolean; grown: boolean } {
    const begun = this.composer.compose({ kind: 'compose', scene, afresh: false });
    const grown = 'start' in begun;
    const made = grown ? this.composer.join(grownElsewhere(begun)) : begun;
    if (made.unlit) {
      const grid = new Float32Array(GROUND_FLOATS);
      this.kernel.measureGround(0, 1, grid);
      this.kernel.takeGround(grid);
      this.composer.light(true);
    }
    return { packed: made.image !== undefined, grown };
  }

  film(): Float32Array {
    const rgb = new Float32Array(SIZE * SIZE * 3 * this.kernel.colourways);
    this.kernel.render(0, 0, SIZE, SIZE, 0, 2, 1, rgb);
    return rgb;
  }

  /** The light on the ground, measured by two. */
  grounds(): { exact: Float32Array; sparse: Float32Array } {
    const [exact, sparse] = [new Float32Array(GROUND_FLOATS), new Float32Array(GROUND_FLOATS)];
    for (const share of [0, 1]) {
      this.kernel.measureGround(share, 2, exact);
      this.kernel.measureGroundSparsely(share, 2, sparse);
    }
    fillSparse(sparse);
    return { exact, sparse };
  }
}

/** By others, to whom the start is handed over, and the last branch first. */
function grownElsewhere(growth: TreeGrowth) {
  const { start, place, rooms } = structuredClone(growth);
  return start.children.map((_, child) => growBranch(start, child, place, rooms[child])).reverse();
}

/** How many values are other ones. */
const differing = (a: Float32Array, b: Float32Array) => a.reduce((n, v, i) => n + (v === b[i] ? 0 : 1), 0);

describe('a scene composed after another', () => {
  it('is traced to the bits of one composed afresh, whatever it takes over', async () => {
    const satin = await dressed({ near: 'rose-18', finish: 'satin' });
    const packed = { packed: true, grown: false };
    const grown = { packed: true, grown: true };
    const laid = { packed: false, grown: false };
    const steps: [string, SceneOrder, typeof packed][] = [
      ['first', order(plan, 'three-quarter'), grown],
      ['colours', order(await dressed({ near: 'rose-18' }), 'three-quarter'), laid],
      ['finish', order(satin, 'three-quarter'), laid],
      ['view', order(satin, 'flat-lay'), grown],
      ['light', order(await dressed({ near: 'rose-18', lights: 'pin-lights' }), 'flat-lay'), packed],
      ['turn', order(plan, 'flat-lay', { turn: { angle: 1, rise: 0.2 } }), packed],
      ['layers', order(await dressed({ near: 'mokume-rose-white' }), 'flat-lay'), grown],
      ['no layers', order(plan, 'flat-lay'), grown],
    ];
    const hand = await Hand.create();
    for (const [what, scene, done] of steps) {
      expect(hand.compose(scene), what).toEqual(done);
      const afresh = await Hand.create();
      afresh.compose(scene);
      expect(differing(hand.film(), afresh.film()), what).toBe(0);
    }
  });

  it('has nearly the same light on the ground of its frame when that is measured sparsely', async () => {
    // nodes no farther from the middle than a fifth of the way to where lamps stand
    const inner = (i: number) =>
      Math.abs(((i >> 2) % GRID) - 23.5) < 5 && Math.abs((i >> 2) / GRID - 23.5) < 5;
    for (const lights of ['soft-tent', 'pin-lights', 'dusk']) {
      const hand = await Hand.create();
      hand.compose(order(await dressed({ lights }), 'three-quarter'));
      const { exact, sparse } = hand.grounds();
      const off = exact.reduce(
        (most, v, i) => (inner(i) && v > 0 ? Math.max(most, Math.abs(sparse[i] / v - 1)) : most),
        0,
      );
      expect(off, lights).toBeLessThan(0.02);
      expect(differing(exact, sparse), lights).toBeGreaterThan(GROUND_FLOATS / 4);
    }
  });
});
