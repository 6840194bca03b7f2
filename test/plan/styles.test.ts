import { describe, expect, it } from 'vitest';
import type { ShapeDesign } from '../../pipeline/plan/design.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { config, planOf, problemsOf } from './workspace.ts';

const grid = 'grid: { size: [ISO 55] }';
const rad = (degrees: number) => (degrees * Math.PI) / 180;

async function designOf(template: string, overrides: string): Promise<ShapeDesign> {
  const { plan } = await planOf(
    config({ template: `template: ${template}`, grid, overrides: `overrides: ${overrides}` }),
  );
  return Object.values(plan.shapes)[0];
}

async function codesOf(template: string, overrides: string): Promise<string[]> {
  const lines = { template: `template: ${template}`, grid, overrides: `overrides: ${overrides}` };
  return (await problemsOf(config(lines))).map(({ code }) => code);
}

const channel = (setting: string) =>
  `{ section: flat, thickness: 2.2 mm, rows: { run: { lane: band, diameter: 1.8 mm, coverage: third, set-depth: 0.28 mm, hole: 50 %, setting: ${setting} } } }`;

describe('setting styles in a template', () => {
  it('are channels with an opening of 90 % unless the file says otherwise, which the bench has no error with', async () => {
    const design = await designOf('plain-court', channel('{ style: channel }'));
    expect(design.rows[0].setting).toEqual({ style: 'channel', openingShare: 0.9 });
    const { checks } = await buildShape(design);
    expect(checks.filter(({ passed, severity }) => !passed && severity === 'error')).toEqual([]);
    const wide = await designOf('plain-court', channel('{ style: channel, opening: 93 % }'));
    expect(wide.rows[0].setting).toEqual({ style: 'channel', openingShare: 0.93 });
  });

  it('are flush at a list of angles, without a set depth', async () => {
    const flush = (depth: string) =>
      `{ section: flat, thickness: 2 mm, rows: { star: { lane: band, diameter: 1.5 mm, coverage: [-20 deg, 0 deg, 20 deg], ${depth} setting: { style: flush } } } }`;
    const design = await designOf('plain-court', flush(''));
    expect(design.rows[0]).toMatchObject({
      setting: { style: 'flush', lipMm: 0.08 },
      coverage: { kind: 'angles', anglesRad: [-20, 0, 20].map((a) => expect.closeTo(rad(a), 12)) },
    });
    expect((await buildShape(design)).rows[0].count).toBe(3);
    expect(await codesOf('plain-court', flush('set-depth: 0.2 mm,'))).toEqual(['set-depth-of-flush']);
  });
});

describe('seams and sections in a template', () => {
  const parted = (seam: string) =>
    designOf(
      'plain-court',
      `{ width: 6 mm, lanes: { other: { alloy: white-18 } }, seams: { tide: ${seam} } }`,
    );

  it('drift from one place to another, measured from the first edge', async () => {
    const { seams } = await parted('{ kind: drift, from: 25 %, to: 4 mm, turn: 30 deg }');
    expect(seams).toMatchObject([
      {
        kind: 'drift',
        fromMm: expect.closeTo(-1.5, 12),
        toMm: expect.closeTo(1, 12),
        phaseRad: expect.closeTo(rad(30), 12),
      },
    ]);
  });

  it('run through places round the band', async () => {
    const { seams } = await parted('{ kind: points, through: [50 %, 2 mm, 60 %, 4 mm] }');
    const zMm = [0, -1, 0.6, 1].map((z) => expect.closeTo(z, 12));
    expect(seams).toMatchObject([{ kind: 'points', zMm, phaseRad: 0 }]);
  });

  it('are concave with a hollow and a comfort bore', async () => {
    const { section } = await designOf('plain-court', '{ section: { name: concave, dome: 0.25 mm } }');
    expect(section).toMatchObject({ name: 'concave', domeMm: 0.25, comfortMm: 0.2 });
  });
});
