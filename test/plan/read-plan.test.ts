import { describe, expect, it } from 'vitest';
import type { ShapeDesign } from '../../pipeline/plan/design.ts';
import type { Plan } from '../../pipeline/plan/plan.ts';
import type { SeamDesign } from '../../pipeline/plan/seam-design.ts';
import { canonicalJson } from '../../pipeline/store/canonical-json.ts';
import { contentKey } from '../../pipeline/store/content-key.ts';
import { config, planOf } from './workspace.ts';

const pictures = (plan: Plan) => plan.takes.flatMap((t) => t.colourways.flatMap((c) => c.pictures));
const shapeOf = (plan: Plan, sku: string): ShapeDesign =>
  plan.shapes[plan.variants.find((v) => v.sku === sku)!.shape];

const placeOf = (seam: SeamDesign) => ('atMm' in seam ? seam.atMm : Number.NaN);

describe('expansion of the grid', () => {
  it('makes every combination once, with SKUs from the pattern', async () => {
    const { plan } = await planOf(config({ sku: 'sku: T-{size}-{metal}-{stone}' }));
    expect(plan.variants.map((v) => v.sku)).toEqual([
      'T-ISO53-Y18-DIA',
      'T-ISO53-Y18-RUB',
      'T-ISO53-W18-DIA',
      'T-ISO53-W18-RUB',
      'T-ISO60-Y18-DIA',
      'T-ISO60-Y18-RUB',
      'T-ISO60-W18-DIA',
      'T-ISO60-W18-RUB',
    ]);
    expect(plan.variants[1]).toMatchObject({
      axes: { size: 'ISO 53', metal: 'Yellow gold 18 ct', stone: 'Heated ruby' },
      dress: { stones: ['ruby'], alloys: ['yellow-18', 'yellow-18', 'yellow-18'] },
      origins: ['natural'],
    });
  });

  it('shapes depend on geometry alone, takes on what decides paths, and each picture is served once', async () => {
    const { plan } = await planOf(config());
    // 2 sizes; colours make no shapes
    expect(Object.keys(plan.shapes)).toHaveLength(2);
    // 2 shapes × 2 shots × 2 optics (diamond, corundum), each with both metals
    expect(plan.takes).toHaveLength(8);
    for (const take of plan.takes) expect(take.colourways).toHaveLength(2);
    expect(new Set(plan.takes.map((t) => t.id)).size).toBe(8);
    const served = pictures(plan).map((p) => `${p.sku} ${p.shot}`);
    expect(served).toHaveLength(16);
    expect(new Set(served).size).toBe(16);
  });

  it('stones of one optics share a take', async () => {
    const grid = 'grid: { size: [ISO 53], stone: [ruby, sapphire-blue] }';
    const { plan } = await planOf(config({ grid, shots: 'shots: [front]' }));
    expect(plan.takes).toHaveLength(1);
    expect(plan.takes[0].optics).toEqual([['corundum']]);
    expect(plan.takes[0].colourways).toHaveLength(2);
  });

  it('finishes make takes of their own; equal looks are traced once for several SKUs', async () => {
    const grid = `grid:
  size: [ISO 53]
  stone:
    - { value: diamond, origin: natural, slug: N }
    - { value: diamond, origin: laboratory-grown, slug: L }
  surface:
    - { label: Satin, slug: S, set: { lanes: { near-shore: { finish: satin }, far-shore: { finish: satin } } } }
    - { label: Bright, slug: B, set: { lanes: { near-shore: { finish: polished }, far-shore: { finish: polished } } } }`;
    const { plan } = await planOf(config({ grid, shots: 'shots: [front]', sku: 'sku: "{stone}{surface}"' }));
    expect(plan.variants.map((v) => [v.sku, v.axes.stone, v.origins[0]])).toEqual([
      ['NS', 'Diamond', 'natural'],
      ['NB', 'Diamond', 'natural'],
      ['LS', 'Laboratory-grown diamond', 'laboratory-grown'],
      ['LB', 'Laboratory-grown diamond', 'laboratory-grown'],
    ]);
    expect(Object.keys(plan.shapes)).toHaveLength(1);
    expect(plan.takes.map((t) => t.finishes[0][0])).toEqual(['satin', 'polished']);
    for (const take of plan.takes) {
      expect(take.colourways).toHaveLength(1);
      expect(take.colourways[0].pictures).toHaveLength(2);
    }
  });

  it('skips leave out what they match, by label, slug or value', async () => {
    const skip = 'skip: [{ size: ISO53, stone: [Ruby] }, { size: ISO 60, metal: yellow-18 }]';
    const { plan, warnings } = await planOf(config({ skip, sku: 'sku: "{size}{metal}{stone}"' }));
    expect(warnings).toEqual([]);
    expect(plan.variants.map((v) => v.sku)).toEqual([
      'ISO53Y18DIA',
      'ISO53W18DIA',
      'ISO60W18DIA',
      'ISO60W18RUB',
    ]);
  });

  it('metals go to lanes by name; lanes left out keep the template’s alloy', async () => {
    const grid = 'grid: { size: [ISO 53], metal: [{ value: { tide: rose-18 }, label: Rose wave, slug: R }] }';
    const { plan } = await planOf(config({ grid }));
    expect(plan.variants[0].dress.alloys).toEqual(['white-18', 'rose-18', 'white-18']);
    expect(plan.variants[0].axes.metal).toBe('Rose wave');
  });

  it('"none" takes the stones away and with them the row', async () => {
    const grid = 'grid: { size: [ISO 53], stone: [diamond, none] }';
    const { plan } = await planOf(config({ grid, sku: 'sku: "{stone}"' }));
    expect(shapeOf(plan, 'DIA').rows).toHaveLength(1);
    expect(shapeOf(plan, 'none').rows).toHaveLength(0);
    expect(plan.variants[1].dress.stones).toEqual([]);
  });
});

describe('designs', () => {
  it('sizes of any system set the circumference', async () => {
    const grid = 'grid: { size: [US 7, UK N½, JP 14, CH 14 1/2, 54], stone: [diamond] }';
    const { plan } = await planOf(config({ grid, sku: 'sku: "{size}"' }));
    const circumferences = plan.variants.map((v) => plan.shapes[v.shape].circumferenceMm);
    // US 7 is 54.42 mm round, UK N½ 54.38, JP 14 54.45: en.wikipedia.org/wiki/Ring_size and its formulas
    [54.42, 54.375, 54.45, 54.5, 54].forEach((mm, i) => {
      expect(Math.abs(circumferences[i] - mm)).toBeLessThan(0.006);
    });
    expect(plan.variants.map((v) => v.sku)).toEqual(['US7', 'UKN.5', 'JP14', 'CH14.5', 'ISO54']);
  });

  it('widths keep shares and lengths: thickness, stones and whole waves stay', async () => {
    const grid = 'grid: { size: [ISO 53], width: [5 mm, 7 mm], stone: [diamond] }';
    const { plan } = await planOf(config({ grid, sku: 'sku: W{width}' }));
    const [narrow, wide] = ['W5', 'W7'].map((sku) => shapeOf(plan, sku));
    expect(wide.widthMm).toBe(7);
    expect(wide.thicknessMm).toBe(narrow.thicknessMm);
    expect(wide.rows).toEqual(narrow.rows);
    // the tide is 50 % ± 1.35 mm
    for (const shape of [narrow, wide])
      expect(shape.seams.map(placeOf)).toEqual([-1.35, 1.35].map((at) => expect.closeTo(at, 12)));
    const straight = await planOf(
      config({
        template: 'template: two-tone-straight',
        grid: 'grid: { size: [ISO 53], width: [5 mm, 7 mm] }',
      }),
    );
    // rails of 30 %, measured from mid-width: ±20 % of the width
    const seams = Object.values(straight.plan.shapes).map((s) => s.seams.map(placeOf));
    seams.forEach((s, i) => {
      const half = [1, 1.4][i];
      expect(s[0]).toBeCloseTo(-half, 12);
      expect(s[1]).toBeCloseTo(half, 12);
    });
  });

  it('overrides change single values; axis values lie on top of them', async () => {
    const overrides = 'overrides: { thickness: 2.1 mm, seams: { near: { amplitude: 10 % } } }';
    const grid = `grid:
  size: [ISO 53, { value: ISO 60, set: { thickness: 2.3 mm, rows: { crest: { coverage: 200 deg } } } }]`;
    const { plan } = await planOf(config({ overrides, grid, sku: 'sku: "{size}"' }));
    const [a, b] = ['ISO53', 'ISO60'].map((sku) => shapeOf(plan, sku));
    expect([a.thicknessMm, b.thicknessMm]).toEqual([2.1, 2.3]);
    expect(a.seams[0]).toMatchObject({ kind: 'wave', amplitudeMm: 0.5, periods: 6 });
    expect(a.rows[0].coverage).toEqual({ kind: 'full' });
    expect(b.rows[0].coverage).toEqual({ kind: 'arc', angleRad: (200 / 180) * Math.PI });
  });
});

describe('pairs', () => {
  const pairs = `pairs:
  - { name: duo, when: { size: ISO 53, stone: diamond }, partner: { size: ISO 60, width: 6, stones: false } }
  - { name: twin, when: { size: ISO 53, stone: diamond, metal: yellow-18 }, partner: { size: ISO 60 } }`;

  it('show two bands: another size and width, without stones if so asked', async () => {
    const { plan } = await planOf(config({ pairs, shots: 'shots: [front, pair]' }));
    expect(plan.pairs.map((p) => p.sku)).toEqual([
      'trial-ISO53-Y18-DIA-duo',
      'trial-ISO53-W18-DIA-duo',
      'trial-ISO53-Y18-DIA-twin',
    ]);
    const [duo, , twin] = plan.pairs;
    expect(plan.shapes[duo.right.shape]).toMatchObject({ circumferenceMm: 60, widthMm: 6, rows: [] });
    expect(duo.right.sku).toBe('trial-ISO53-Y18-DIA-duo-partner');
    expect(duo.right.dress.alloys).toEqual(duo.left.dress.alloys);
    // a partner that is in the catalogue is that item
    expect(twin.right).toBe(plan.variants.find((v) => v.sku === 'trial-ISO60-Y18-DIA'));
  });

  it('take pair shots, and nothing else does', async () => {
    const { plan } = await planOf(config({ pairs, shots: 'shots: [front, pair]' }));
    const paired = plan.takes.filter((t) => t.shot.view === 'pair');
    expect(paired.map((t) => t.shapes.length)).toEqual([2, 2]);
    // both metals of the first pair share paths
    expect(paired[0].colourways).toHaveLength(2);
    for (const c of paired[0].colourways) expect(c.dresses).toHaveLength(2);
    const alone = plan.takes.filter((t) => t.shot.view !== 'pair');
    for (const t of alone) expect(t.shapes).toHaveLength(1);
  });
});

describe('keys', () => {
  it('do not depend on the order of properties, and change with any value', () => {
    expect(canonicalJson({ b: [1, { d: 2, c: 'x' }], a: null, u: undefined })).toBe(
      '{"a":null,"b":[1,{"c":"x","d":2}]}',
    );
    expect(contentKey({ a: 1, b: 2 })).toBe(contentKey({ b: 2, a: 1 }));
    expect(contentKey({ a: 1 })).not.toBe(contentKey({ a: 1.0000001 }));
    expect(() => canonicalJson({ a: Number.NaN })).toThrow(TypeError);
  });
});
