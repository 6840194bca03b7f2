import { describe, expect, it } from 'vitest';
import type { ShapeDesign } from '../../pipeline/plan/design.ts';
import type { ShapeKey } from '../../pipeline/plan/plan.ts';
import { config, planOf, problemsOf } from './workspace.ts';

const grid = 'grid: { size: [ISO 55] }';
const lines = (overrides: string, more: Record<string, string> = {}) =>
  config({ template: 'template: two-tone-straight', grid, overrides: `overrides: ${overrides}`, ...more });

async function designOf(overrides: string): Promise<ShapeDesign> {
  return Object.values((await planOf(lines(overrides))).plan.shapes)[0];
}

async function problems(overrides: string): Promise<[string, string, number | undefined][]> {
  return (await problemsOf(lines(overrides))).map((p) => [p.code, p.path, p.place?.line]);
}

const vow = 'engraving: { inside: { text: " Mara & Jon ", height: 1.4 mm } }';

describe('marks in a template', () => {
  it('are letters, with what is usual filled in', async () => {
    const { engraving } = await designOf(
      '{ engraving: { inside: { text: " Mara & Jon ", at: 90 deg, across: 60 %, font: italic }, outside: { text: forever, lane: inlay, depth: 0.25 mm, walls: 0 deg } } }',
    );
    expect(engraving).toEqual({
      inside: {
        text: 'Mara & Jon',
        heightMm: 1.2,
        depthMm: 0.15,
        style: 'italic',
        atRad: expect.closeTo(Math.PI / 2, 12),
        // 60 % of 5.5 mm from the first edge, seen from the middle
        centreMm: expect.closeTo(0.55, 12),
        // walls as a cutter of 30° leaves them
        slantRad: expect.closeTo(Math.PI / 12, 12),
      },
      outside: { text: 'forever', heightMm: 1.2, depthMm: 0.25, style: 'regular', atRad: 0, lane: 'inlay' },
    });
    expect((await designOf(`{ ${vow} }`)).engraving?.inside?.atRad).toBeCloseTo(Math.PI, 12);
  });

  it('are beads and grooves of seams and beads of the edges', async () => {
    const design = await designOf(
      '{ seams: { near: { milgrain: { bead: 0.4 mm, lane: inlay } }, far: { groove: { profile: round } } }, edges: { milgrain: { bead: 0.3 mm, pitch: 0.5 mm } } }',
    );
    expect(design.seams.map((s) => s.marks)).toEqual([
      { seam: 'near', milgrain: { beadMm: 0.4, pitchMm: expect.closeTo(0.424, 12), lane: 'inlay' } },
      { seam: 'far', groove: { widthMm: 0.4, depthMm: 0.2, profile: 'round' } },
    ]);
    expect(design.edgeMilgrain).toEqual({ beadMm: 0.3, pitchMm: 0.5 });
  });

  it('leave a design without any as it was, so that its content keys stay', async () => {
    const design = await designOf('{ seams: { near: { milgrain: none } }, engraving: { inside: none } }');
    expect(design).toEqual(await designOf('{}'));
    expect(JSON.stringify(design)).not.toMatch(/marks|engraving|ilgrain/);
  });

  it('make another shape of another text, by an axis and for a partner', async () => {
    const { plan } = await planOf(
      lines(`{ ${vow} }`, {
        grid: `grid:
  size: [ISO 55]
  vow:
    - { label: Names, slug: N, set: {} }
    - { label: Date, slug: D, set: { engraving: { inside: { text: 12.06.2026 } } } }`,
        pairs: `pairs:
  - name: duo
    partner: { size: ISO 62, set: { engraving: { inside: { text: Jon & Mara } } } }
  - name: plain
    partner: { size: ISO 62, set: { engraving: { inside: none } } }`,
        shots: 'shots: [inside, pair]',
      }),
    );
    const textOf = (shape: ShapeKey) => plan.shapes[shape].engraving?.inside?.text;
    expect(plan.variants.map((v) => textOf(v.shape))).toEqual(['Mara & Jon', '12.06.2026']);
    expect(plan.pairs.map((p) => textOf(p.right.shape))).toEqual([
      'Jon & Mara',
      'Jon & Mara',
      undefined,
      undefined,
    ]);
    expect(new Set(plan.variants.map((v) => v.shape)).size).toBe(2);
    expect(plan.shots.map((s) => s.view)).toEqual(['inside', 'pair']);
  });

  it('are refused with their place in the file', async () => {
    expect(await problems('{ engraving: { outside: { text: a, lane: inly } } }')).toEqual([
      ['unknown-name', 'engraving.outside.lane', 8],
    ]);
    expect(await problems('{ seams: { near: { milgrain: { bead: 0.4 mm, lane: far-rail } } } }')).toEqual([
      ['unknown-name', 'seams.near.milgrain.lane', 8],
    ]);
    expect(await problems('{ seams: { near: { milgrain: { bead: 0.4 mm, pitch: 0.3 mm } } } }')).toEqual([
      ['beads-overlap', 'seams.near.milgrain.pitch', 8],
    ]);
    expect(
      await problems('{ seams: { near: { groove: { width: 0.4 mm, depth: 0.3 mm, profile: round } } } }'),
    ).toEqual([['groove-too-deep', 'seams.near.groove.depth', 8]]);
    const [code, path] = (await problems('{ engraving: { inside: { text: "two\\nlines" } } }'))[0];
    expect([code, path]).toEqual([expect.any(String), 'engraving.inside.text']);
    const slip = await problems('{ engraving: { inside: { text: a, hight: 2 mm } } }');
    expect(slip[0].slice(0, 2)).toEqual(['unknown-key', 'engraving.inside.hight']);
  });
});
