import { describe, expect, it } from 'vitest';
import type { Plan } from '../../pipeline/plan/plan.ts';
import { MOST_COLOURWAYS } from '../../pipeline/plan/takes.ts';
import { filmState } from '../../pipeline/tracer/film-state.ts';
import { MAX_COLOURWAYS } from '../../pipeline/tracer/kernel/layout.ts';
import { config, planOf } from './workspace.ts';

const ALLOYS = ['yellow-18', 'yellow-14', 'yellow-9', 'rose-18', 'rose-14', 'rose-9', 'green-18'];
ALLOYS.push('white-18', 'white-14', 'platinum-950');

/** One shape of three lanes in up to a thousand combinations of alloys. */
async function manyMetals(many: number, lines: Record<string, string> = {}): Promise<Plan> {
  const metals = Array.from({ length: many }, (_, i) => {
    const [a, b, c] = [i % 10, Math.floor(i / 10) % 10, Math.floor(i / 100)].map((n) => ALLOYS[n]);
    return `    - { value: { near-shore: ${a}, tide: ${b}, far-shore: ${c} }, label: M${i}, slug: M${i} }`;
  });
  const grid = `grid:\n  size: [ISO 53]\n  stone: [ruby]\n  metal:\n${metals.join('\n')}`;
  const { plan } = await planOf(config({ grid, shots: 'shots: [front]', ...lines }));
  return plan;
}

const served = ({ takes }: Plan) =>
  takes.flatMap((t) => t.colourways.flatMap((c) => c.pictures.map((p) => p.sku)));

/** What a take's sums take in the page, without laying them. */
function bytesOf({ takes: [{ shot, colourways }] }: Plan): number {
  const planes = colourways.length + (shot.ground.kind === 'clear' ? 1 : 0);
  const { buffer } = filmState({ width: 160, height: 160, colourways: 1 });
  return (buffer.byteLength * planes * shot.widthPx * shot.heightPx) / 160 ** 2;
}

describe('a take with more colourways than one run can hold', () => {
  it('a thousand metals on one shape: parts of about equal size that the kernel can take, each picture once', async () => {
    const plan = await manyMetals(1000, { frame: 'frame: [64 px, 64 px]' });
    expect(MOST_COLOURWAYS).toBeLessThanOrEqual(MAX_COLOURWAYS);
    expect(plan.takes.map((t) => t.colourways.length)).toEqual([250, 250, 250, 250]);
    expect(plan.takes.map((t) => t.part)).toEqual([1, 2, 3, 4].map((number) => ({ number, of: 4 })));
    expect(new Set(plan.takes.map((t) => t.id)).size).toBe(4);
    expect(served(plan)).toEqual(plan.variants.map((v) => v.sku));
    // what decides paths is the same in all
    const paths = plan.takes.map(({ id: _, part: __, colourways: ___, ...rest }) => JSON.stringify(rest));
    expect(new Set(paths).size).toBe(1);
  });

  it('large frames: parts whose sums fit into one block of shared memory', async () => {
    for (const ground of ['white', 'clear']) {
      const plan = await manyMetals(100, { frame: 'frame: [1600 px, 1600 px]', ground: `ground: ${ground}` });
      expect(plan.takes.length).toBeGreaterThan(1);
      // measured: the largest that Chromium 143 gives, in bytes
      expect(bytesOf(plan)).toBeLessThan(2_145_382_400);
      // and no part is so small that paths are traced for little
      expect(bytesOf(plan)).toBeGreaterThan(1e9);
      expect(served(plan)).toHaveLength(100);
    }
  });

  it('what fits is one take, and says nothing of parts', async () => {
    const plan = await manyMetals(16, { frame: 'frame: [1600 px, 1600 px]' });
    expect(plan.takes).toHaveLength(1);
    expect(plan.takes[0]).not.toHaveProperty('part');
    expect(plan.takes[0].id).not.toMatch(/-of-/);
  });
});
