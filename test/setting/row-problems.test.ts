import { describe, expect, it } from 'vitest';
import type { RowDesign, ShapeDesign } from '../../pipeline/plan/design.ts';
import { ProblemError } from '../../pipeline/problem.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { rowDesign, straightRowDesign, wavyRowDesign } from './stone-designs.ts';

async function problemsOf(design: ShapeDesign) {
  try {
    await buildShape(design);
    return [];
  } catch (error) {
    if (error instanceof ProblemError) return error.problems;
    throw error;
  }
}

const bigClaws = { style: 'shared-claws', clawDiameterMm: 1, clawHeightMm: 0.3 } as const;
const sharp = { name: 'flat', domeMm: 0, comfortMm: 0, edgeMm: 0, boreEdgeMm: 0 } as const;

describe('row problems', () => {
  it.each([
    ['stone-wider-than-lane', wavyRowDesign({ diameterMm: 2.2 }), /at θ = [\d.]+°/],
    ['row-too-deep', straightRowDesign({ diameterMm: 2.6, setDepthMm: 0.9 }), /-[\d.]+ mm at θ/],
    // a closed seat: the culet of 2.6 mm lies 0.08 mm above the bore, and 0.1 mm of floor has to stay
    [
      'row-too-deep',
      straightRowDesign({ diameterMm: 2.6, setDepthMm: 0.7, holeShare: 0 }),
      /^0\.\d+ mm at θ/,
    ],
    ['too-many-stones', straightRowDesign({ count: 60 }), /60, which leaves gaps of -[\d.]+ mm/],
    ['stone-buried', straightRowDesign({ setDepthMm: 0.4 }), /at θ/],
    ['stone-not-seated', straightRowDesign({ setDepthMm: -0.5 }), /below the girdle at θ/],
    ['claws-out-of-reach', straightRowDesign({ count: 30 }), /at θ/],
    ['claw-off-lane', straightRowDesign({ setting: { ...bigClaws } }, { widthMm: 1.8 }), /at θ/],
    [
      'claw-too-shallow',
      straightRowDesign({ diameterMm: 0.6, setDepthMm: 0 }, { thicknessMm: 0.42, section: sharp }),
      /at θ/,
    ],
    ['hole-too-wide', straightRowDesign({ holeShare: 1 }), /1/],
    ['unknown-lane', straightRowDesign({ lane: 'edge' }), /'edge'/],
    ['not-positive', straightRowDesign({ diameterMm: 0 }), /0/],
    ['arc-too-long', straightRowDesign({ coverage: { kind: 'arc', angleRad: 7 } }), /401\.1°/],
    ['no-room-for-stones', straightRowDesign({ coverage: { kind: 'arc', angleRad: 0.05 } }), /room for 0/],
    ['negative-gap', straightRowDesign({ leastGapMm: -0.1 }), /-0\.1/],
  ] as [string, ShapeDesign, RegExp][])('include %s', async (code, design, received) => {
    const found = await problemsOf(design);
    const problem = found.find((p) => p.code === code);
    expect(found.map((p) => p.code)).toContain(code);
    expect(problem?.received).toMatch(received);
    expect(problem?.path).toMatch(/^rows\.row/);
  });

  it('find stones that collide without being neighbours', async () => {
    const lanes = straightRowDesign({}, { widthMm: 4 });
    const second: RowDesign = rowDesign({ name: 'again', diameterMm: 1.2, setting: { style: 'none' } });
    const [problem] = await problemsOf({ ...lanes, rows: [...lanes.rows, second] });
    expect(problem.code).toBe('stones-collide');
  });

  it('are all reported together', async () => {
    const found = await problemsOf(straightRowDesign({ diameterMm: 3.4, setDepthMm: 0.8 }));
    expect(found.map(({ code }) => code)).toEqual(
      expect.arrayContaining(['stone-wider-than-lane', 'row-too-deep', 'stone-buried']),
    );
  });
});
