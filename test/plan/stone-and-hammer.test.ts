import { describe, expect, it } from 'vitest';
import type { ShapeDesign } from '../../pipeline/plan/design.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { config, planOf, problemsOf } from './workspace.ts';

const grid = 'grid: { size: [ISO 55] }';

async function designOf(template: string, overrides = '{}'): Promise<ShapeDesign> {
  const { plan } = await planOf(
    config({ template: `template: ${template}`, grid, overrides: `overrides: ${overrides}` }),
  );
  return Object.values(plan.shapes)[0];
}

async function codesOf(template: string, overrides: string): Promise<string[]> {
  const lines = { template: `template: ${template}`, grid, overrides: `overrides: ${overrides}` };
  return (await problemsOf(config(lines))).map(({ code }) => code);
}

describe('cuts in a template', () => {
  it('give round stones no length and others the usual one', async () => {
    expect((await designOf('tideline')).rows[0]).not.toHaveProperty('lengthMm');
    expect((await designOf('square-half')).rows[0]).toMatchObject({
      cut: 'princess',
      diameterMm: 1.8,
      lengthMm: 1.8,
    });
    const oval = await designOf(
      'square-half',
      '{ rows: { squares: { cut: oval-brilliant, diameter: 2 mm } } }',
    );
    expect(oval.rows[0].lengthMm).toBeCloseTo(2.8, 12);
    const long = await designOf(
      'square-half',
      '{ rows: { squares: { cut: baguette, diameter: 1.5 mm, length: 4 mm } } }',
    );
    expect(long.rows[0]).toMatchObject({ cut: 'baguette', diameterMm: 1.5, lengthMm: 4 });
  });

  it('report a length for a round cut, and a cut there is not', async () => {
    expect(await codesOf('tideline', '{ rows: { crest: { length: 2 mm } } }')).toEqual(['length-of-round']);
    expect(await codesOf('tideline', '{ rows: { crest: { cut: rose } } }')).toHaveLength(1);
  });

  it('make a row of squares that the bench has no error with', async () => {
    const { checks, rows } = await buildShape(await designOf('square-half'));
    expect(rows[0].count).toBeGreaterThan(12);
    expect(checks.filter(({ passed, severity }) => !passed && severity !== 'info')).toEqual([]);
  });
});

describe('hammering in a template', () => {
  it('is part of the shape, with usual marks where the file gives none', async () => {
    expect((await designOf('plain-court')).lanes[0]).not.toHaveProperty('hammer');
    expect((await designOf('plain-court', '{ lanes: { band: { hammer: {} } } }')).lanes[0].hammer).toEqual({
      facetMm: 1.6,
      depthMm: 0.05,
      seed: 1,
    });
    const { checks } = await buildShape(await designOf('hammered-court'));
    expect(checks.filter(({ passed, severity }) => !passed && severity === 'error')).toEqual([]);
  });
});
