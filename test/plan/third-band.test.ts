import { describe, expect, it } from 'vitest';
import { altText } from '../../pipeline/plan/alt-text.ts';
import { bandsOfPair } from '../../pipeline/plan/variant.ts';
import { config, planOf, problemsOf } from './workspace.ts';

const set = (pair: string) =>
  config({
    template: 'template: groundswell',
    origins: '',
    treatments: '',
    grid: 'grid: { size: [ISO 53, ISO 60] }',
    shots: 'shots: [front, pair]',
    pairs: `pairs: [${pair}]`,
  });

describe('a third band of a pair', () => {
  it('is worn with the others in one picture, an item of three bands', async () => {
    const { plan, warnings } = await planOf(
      set(
        '{ name: trio, when: { size: ISO 53 }, partner: { metal: platinum-950 }, third: { metal: rose-18 } }',
      ),
    );
    expect(warnings).toEqual([]);
    const [pair] = plan.pairs;
    expect(pair.laid).toBe('worn');
    const bands = bandsOfPair(pair);
    expect(bands).toHaveLength(3);
    expect(bands.map(({ dress }) => dress.alloys[0])).toEqual([
      pair.left.dress.alloys[0],
      'platinum-950',
      'rose-18',
    ]);
    expect(pair.third!.sku).toBe(`${pair.sku}-third`);
    const [take] = plan.takes.filter(({ shot }) => shot.view === 'pair');
    expect(take.shapes).toHaveLength(3);
    expect(take.shot.laid).toBe('worn');
    expect(take.colourways[0].dresses).toHaveLength(3);
    const shown = bands.map((band) => ({ band, design: plan.shapes[band.shape] }));
    expect(altText('pair', shown)).toMatch(/^Three wedding bands worn together: .*; .*; /);
  });

  it('that is made like the first is the catalogue’s own item', async () => {
    const { plan } = await planOf(set('{ when: { size: ISO 53 }, partner: { size: ISO 60 }, third: {} }'));
    const [pair] = plan.pairs;
    expect(pair.third).toBe(pair.left);
    expect(plan.variants).toContain(pair.right);
  });

  it('is refused where they would not be worn, with its place', async () => {
    const text = set('{ partner: {}, third: {}, lay: stacked }');
    expect((await problemsOf(text))[0]).toMatchObject({
      path: 'pairs[0].lay',
      expected: '"worn" for three bands: they stand on one axis, touching',
    });
  });
});
