import { describe, expect, it } from 'vitest';
import { bandFacts } from '../../pipeline/facts/band-facts.ts';
import { colourwayLook, gemOptics, subjectColours } from '../../pipeline/facts/looks.ts';
import { solidFacts } from '../../pipeline/facts/solid-facts.ts';
import { stoneListCsv } from '../../pipeline/papers/stone-list.ts';
import { type RowDesign, sortsOf } from '../../pipeline/plan/design.ts';
import { buildTakeScene } from '../../pipeline/scene/take-scene.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { config, planOf, problemsOf } from './workspace.ts';

const origins = 'origins: { diamond: natural, ruby: natural, sapphire-blue: natural }';
const rows = (row: string) =>
  `overrides: { section: flat, width: 4 mm, thickness: 2.2 mm, rows: { run: { lane: band, diameter: 1.5 mm, coverage: third, setting: none, ${row} } } }`;
const lines = (row: string, grid = 'grid: { size: [ISO 55] }') => ({
  template: 'template: plain-court',
  origins,
  grid,
  overrides: rows(row),
});

async function rowOf(row: string): Promise<RowDesign> {
  const { plan } = await planOf(config(lines(row)));
  return Object.values(plan.shapes)[0].rows[0];
}

describe('rows in a template', () => {
  it('are grain set with the usual grain, field and depth unless the file says otherwise', async () => {
    const { plan } = await planOf(
      config({
        ...lines(''),
        overrides: rows('').replace('setting: none', 'setting: { style: grain, grains: shared }'),
      }),
    );
    expect(Object.values(plan.shapes)[0].rows[0]).toMatchObject({
      setDepthMm: 0.15,
      setting: {
        style: 'grain',
        grainMm: 0.34,
        grains: 'shared',
        fieldMm: 0.25,
        fieldDepthMm: 0.1,
        brightCut: true,
      },
    });
  });

  it('are azured under claws and grains unless the file says otherwise, where holes go through', async () => {
    const azureOf = async (style: string, row = '') => {
      const overrides = rows(row).replace('setting: none', `setting: { style: ${style} }`);
      const { plan } = await planOf(config({ ...lines(''), overrides }));
      return Object.values(plan.shapes)[0].rows[0].azureShare;
    };
    const claws = 'shared-claws, claw-diameter: 0.5 mm, claw-height: 0.2 mm';
    expect(await azureOf(claws)).toBe(0.85);
    expect(await azureOf('grain')).toBe(0.85);
    expect(await azureOf('flush')).toBeUndefined();
    expect(await azureOf('flush', 'azure: 70 %,')).toBe(0.7);
    expect(await azureOf(claws, 'azure: 0 %,')).toBeUndefined();
    expect(await azureOf(claws, 'floor: 0.4 mm,')).toBeUndefined();
  });

  it('name their sorts: their own, those that take turns, the centre', async () => {
    const row = await rowOf(
      'alternate: [{ diameter: 1.2 mm }, { cut: baguette, length: 3 mm }], centre: { diameter: 2 mm }',
    );
    expect(
      sortsOf(row).map(({ name, cut, diameterMm, lengthMm }) => [name, cut, diameterMm, lengthMm]),
    ).toEqual([
      ['run', 'round-brilliant', 1.5, undefined],
      ['run-2', 'round-brilliant', 1.2, undefined],
      ['run-3', 'baguette', 1.5, 3],
      ['run-centre', 'round-brilliant', 2, undefined],
    ]);
    expect(await rowOf('graduate: { to: 1 mm }, floor: 0.4 mm')).toMatchObject({
      graduate: { toMm: 1, stepMm: 0.05 },
      floorMm: 0.4,
    });
    expect(await rowOf('stagger: { apart: 1.2 mm }')).toMatchObject({ stagger: { apartMm: 1.2 } });
    expect(await rowOf('stagger: { apart: 1.2 mm, lines: 3 }')).toMatchObject({
      stagger: { apartMm: 1.2, lines: 3 },
    });
  });

  it.each([
    ['one-way-all-round', 'coverage: full, graduate: { to: 1 mm, from: start }'],
    ['stagger-of-unequal', 'stagger: { apart: 1 mm }, graduate: { to: 1 mm }'],
    ['angles-of-unequal', 'coverage: [0 deg, 20 deg], alternate: [{ stone: ruby }]'],
    ['floor-without-hole', 'floor: 0.4 mm, hole: 0 %'],
    ['azure-without-hole', 'azure: 90 %, hole: 0 %'],
    ['azure-without-hole', 'azure: 90 %, floor: 0.4 mm'],
    ['azure-within-hole', 'azure: 50 %, hole: 60 %'],
  ])('are refused: %s', async (code, row) => {
    const text = config(lines(row)).replace(
      'coverage: third, setting: none, coverage',
      'setting: none, coverage',
    );
    expect((await problemsOf(text)).map((p) => p.code)).toEqual([code]);
  });

  it('are refused where another row has the name of a sort, and where claws would hold two lines', async () => {
    const both = rows('alternate: [{ stone: ruby }]').replace(
      'rows: {',
      'rows: { run-2: { lane: band, diameter: 1 mm, setting: none },',
    );
    const claws = rows('stagger: { apart: 1 mm }').replace(
      'setting: none',
      'setting: { style: shared-claws, claw-diameter: 0.5 mm, claw-height: 0.2 mm }',
    );
    for (const [overrides, code] of [
      [both, 'row-name-taken'],
      [claws, 'stagger-setting'],
    ])
      expect((await problemsOf(config({ ...lines(''), overrides }))).map((p) => p.code)).toEqual([code]);
    const three = rows('stagger: { apart: 1 mm, lines: 3 }');
    const own = three.replace('setting: none', 'setting: { style: grain }');
    const [crowded] = await problemsOf(config({ ...lines(''), overrides: own }));
    expect(crowded).toMatchObject({ code: 'stagger-grains-own', received: '"own" for 3 lines' });
    const channel = rows('stagger: { apart: 1 mm }').replace('setting: none', 'setting: { style: channel }');
    const [refused] = await problemsOf(config({ ...lines(''), overrides: channel }));
    expect(refused).toMatchObject({ code: 'stagger-setting', received: '"channel"' });
    expect(refused.advice).toContain('inner sides of two lines');
  });
});

describe('colours of a row of several stones', () => {
  const grid =
    'grid: { size: [ISO 55], stone: [diamond, { value: { run: diamond, run-centre: ruby }, label: Mixed, slug: MIX }] }';
  const row =
    'graduate: { to: 1.2 mm }, alternate: [{ diameter: 1.3 mm, stone: sapphire-blue }], centre: { diameter: 2 mm }';

  it('follow the row, their own stone, or the name that the axis gives them', async () => {
    const { plan } = await planOf(config(lines(row, grid)));
    expect(plan.variants.map(({ dress }) => dress.stones)).toEqual([
      ['diamond', 'sapphire-blue', 'diamond'],
      ['diamond', 'sapphire-blue', 'ruby'],
    ]);
  });

  it('reach facts, stone list and scene, one for every size', async () => {
    const { plan } = await planOf(config(lines(row, grid)));
    const variant = plan.variants[1];
    const shape = await buildShape(plan.shapes[variant.shape]);
    const facts = bandFacts(variant, solidFacts(shape), plan, undefined);
    expect(facts.rows.length).toBe(shape.rows.length);
    expect(facts.rows.find(({ name }) => name === 'run-centre')).toMatchObject({
      stone: 'ruby',
      diameterMm: 2,
      count: 1,
    });
    for (const { name, stone } of facts.rows)
      expect(stone).toBe(
        name.startsWith('run-2') ? 'sapphire-blue' : name === 'run-centre' ? 'ruby' : 'diamond',
      );
    expect(facts.stoneCount).toBe(facts.fits?.[0].count);
    // what is bought: by the chart, in the density of its species, or as the supplier says; ruby 4.0 against diamond 3.52
    const ruby = facts.rows.find(({ stone }) => stone === 'ruby');
    expect(ruby).toMatchObject({ label: 'heated natural ruby', treatments: ['heated'], weightFrom: 'chart' });
    expect(ruby?.carats).toBeCloseTo((0.035 * 4) / 3.52, 9);
    const stoneWeights = [{ stone: 'ruby', cut: 'round-brilliant', diameterMm: 2, carats: 0.0444 }];
    const supplied = bandFacts(variant, solidFacts(shape), { ...plan, stoneWeights }).rows;
    expect(supplied.find(({ stone }) => stone === 'ruby')).toMatchObject({
      carats: 0.0444,
      weightFrom: 'supplier',
    });
    expect(stoneListCsv(facts)).toMatch(/ruby,natural,heated,.*trade chart by diameter: aakashdiamonds/);
    expect(facts.totalCarats).toBeCloseTo(
      facts.rows.reduce((sum, r) => sum + r.carats, 0),
      9,
    );
    expect(stoneListCsv(facts).trim().split('\r\n')).toHaveLength(1 + shape.rows.length);

    const look = colourwayLook('mixed', variant.dress);
    expect(look.stones).toHaveLength(3);
    const [take] = plan.takes;
    const subject = {
      shape,
      finishes: [{ alphaX: 0.1, alphaY: 0.1 }],
      bore: { alphaX: 0.1, alphaY: 0.1 },
      gems: variant.dress.stones.map((_, i) => gemOptics(take.optics[0][i])),
    };
    const scene = buildTakeScene(take.shot, [subject], [[subjectColours(variant.dress)]]);
    expect(scene.gems).toHaveLength(3);
    expect(scene.colourways[0].gems).toHaveLength(3);
    expect(scene.cuts).toHaveLength(shape.rows.length);
    const worn = shape.rows.flatMap((r) => Array.from({ length: r.count }, () => r.slot));
    expect(scene.stones.map(({ gem }) => gem)).toEqual(worn);
  });
});
