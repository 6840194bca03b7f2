import { describe, expect, it } from 'vitest';
import { outsideSurface } from '../../pipeline/band/outside.ts';
import { radiusAt } from '../../pipeline/band/profile.ts';
import type { ShapeDesign } from '../../pipeline/plan/design.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { config, planOf, problemsOf } from './workspace.ts';

/** A band of one lane, or of two with a wave between them. */
const band = (keys: string, parted = false) => `title: Band
${keys}
lanes: { near: { alloy: yellow-18 }${parted ? ', far: { alloy: white-18 }' : ''} }
${parted ? 'seams: { tide: { kind: wave, at: 50 % - 0.2 mm, amplitude: 12 %, waves: 5 } }' : ''}
`;
const text = config({ template: 'template: ./band.yaml', grid: 'grid: { size: [ISO 55] }' });

async function designOf(keys: string, parted = false): Promise<ShapeDesign> {
  const { plan } = await planOf(text, { 'band.yaml': band(keys, parted) });
  return Object.values(plan.shapes)[0];
}

const problems = async (keys: string) =>
  (await problemsOf(text, { 'band.yaml': band(keys) })).map(({ code, path }) => `${path} ${code}`);

const WIDE = 'width: 5 mm\nthickness: 2 mm\n';

describe('sections in a template', () => {
  it.each(['flat', 'd', 'court', 'flat-court', 'concave', 'bevelled', 'knife-edge'])(
    'may be a name alone, and then can be built: %s',
    async (name) => {
      const { checks } = await buildShape(await designOf(`${WIDE}section: ${name}`));
      expect(checks.filter(({ passed, severity }) => !passed && severity !== 'info')).toEqual([]);
    },
  );

  it('fall by a drop as by the angle that gives it', async () => {
    const knife = (fall: string) =>
      designOf(`${WIDE}section: { name: knife-edge, crest: 40 %, ridge: { ${fall}, round: 0.15 mm } }`);
    const { section, ...design } = await knife('drop: 0.6 mm');
    const outer = outsideSurface({ section, ...design })(0);
    const top = radiusAt(outer, section.crestMm!);
    expect(section.crestMm).toBeCloseTo(-0.5, 12);
    for (const edge of [-2.5, 2.5]) expect(top - radiusAt(outer, edge)).toBeCloseTo(0.6, 12);
    const same = await knife(`angle: ${(section.ridge!.lowRad * 180) / Math.PI} deg`);
    expect(same.section.ridge!.highRad).toBeCloseTo(section.ridge!.lowRad, 12);
    const bevelled = await designOf(
      `${WIDE}section: { name: bevelled, crest: 55 %, bevel: { width: 20 %, drop: 0.4 mm } }`,
    );
    expect(bevelled.section.bevel).toMatchObject({
      lowMm: expect.closeTo(1.25, 12),
      highMm: expect.closeTo(0.75, 12),
    });
    const flats = outsideSurface(bevelled)(0);
    for (const edge of [-2.5, 2.5]) expect(radiusAt(flats, 0) - radiusAt(flats, edge)).toBeCloseTo(0.4, 12);
  });

  it('tell their edges apart, and take a step on one of them', async () => {
    const { section } = await designOf(
      `${WIDE}section: { name: d, dome: [0.2 mm, 0.4 mm], edge: [0.1 mm, 0.3 mm], step: { width: 0.8 mm, depth: 0.3 mm, edges: second } }`,
    );
    expect(section).toMatchObject({ domeMm: 0.2, farDomeMm: 0.4, edgeMm: 0.1, farEdgeMm: 0.3 });
    expect(section.step).toEqual({ sides: 'high', widthMm: 0.8, depthMm: 0.3, softenMm: 0.13, footMm: 0.13 });
  });

  it('are refused what they have no use for', async () => {
    expect(await problems(`${WIDE}section: { name: flat, crest: 40 % }`)).toEqual([
      'section.crest section-conflict',
    ]);
    expect(await problems(`${WIDE}section: { name: court, bevel: { angle: 30 deg }, ridge: {} }`)).toEqual([
      'section.bevel section-conflict',
      'section.ridge section-conflict',
    ]);
    expect(
      await problems(`${WIDE}section: { name: bevelled, bevel: { angle: 30 deg, drop: 0.3 mm } }`),
    ).toEqual(['section.bevel.drop section-conflict']);
    expect(await problems(`${WIDE}section: { name: d, edge: [0.1 mm] }`)).toHaveLength(1);
    expect(await problems(`${WIDE}section: flat\ntaper: {}`)).toEqual(['taper empty-taper']);
  });
});

describe('a taper in a template', () => {
  it('takes a width of its own or a share of the band’s, and seams and crest follow it', async () => {
    const design = await designOf(
      `width: 6 mm\nthickness: 2 mm\nsection: flat\ntaper: { width: 60 %, thickness: 1.5 mm }`,
      true,
    );
    expect(design.taper).toMatchObject({ widthMm: expect.closeTo(3.6, 12), thicknessMm: 1.5 });
    // what the same template has at that width: seams are linear in it
    const narrow = await designOf('width: 3.6 mm\nthickness: 2 mm\nsection: flat', true);
    expect(design.taper!.seams).toEqual(
      narrow.seams.map(({ name: _, ...seam }) =>
        Object.fromEntries(
          Object.entries(seam).map(([k, v]) => [k, typeof v === 'number' ? expect.closeTo(v, 12) : v]),
        ),
      ),
    );
    const fixed = await designOf(`${WIDE}section: court\ntaper: { width: 4 mm }`);
    expect(fixed.taper).toMatchObject({ widthMm: 4, thicknessMm: fixed.thicknessMm });
  });
});
