import { expect, it } from 'vitest';
import { withoutUnbuildablePairs } from '../../pipeline/run/buildable.ts';
import { config, planOf } from '../plan/workspace.ts';

const plan = async (odd: string) =>
  (
    await planOf(
      config({
        overrides: 'overrides: { chord-tolerance: 0.1 mm }',
        grid: 'grid: { size: [ISO 53], metal: [yellow-18] }',
        pairs: `pairs:
  - { name: duo, partner: { size: ISO 60, stones: false } }
  - { name: odd, partner: { mirror: true, set: { lanes: { near-shore: { soften: ${odd} } } } } }`,
        shots: 'shots: [front, pair]',
      }),
    )
  ).plan;

it('counts no pair whose partner cannot be built, and says which and why', async () => {
  const written = await plan('0.9 mm');
  const { plan: left, unbuildable } = await withoutUnbuildablePairs(written);
  const [duo, odd] = written.pairs;
  expect(unbuildable.map(({ sku, band }) => [sku, band])).toEqual([[odd.sku, odd.right.sku]]);
  expect(unbuildable[0].problems[0].path).toContain('near-shore');
  expect(left.pairs).toEqual([duo]);
  const shapes = (p: typeof left) => p.takes.filter(({ shot }) => shot.view === 'pair').map((t) => t.shapes);
  expect(shapes(written)).toHaveLength(2);
  expect(shapes(left)).toEqual([[duo.left.shape, duo.right.shape]]);
  expect(left.variants).toEqual(written.variants);
});

it('leaves a plan as it is where all pairs can be built', async () => {
  const written = await plan('0.1 mm');
  expect(await withoutUnbuildablePairs(written)).toEqual({ plan: written, unbuildable: [] });
});
