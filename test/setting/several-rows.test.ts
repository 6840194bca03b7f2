import { beforeAll, describe, expect, it } from 'vitest';
import type { RowDesign, ShapeDesign } from '../../pipeline/plan/design.ts';
import { ProblemError } from '../../pipeline/problem.ts';
import { buildShape } from '../../pipeline/setting/build-shape.ts';
import { loadSolidKernel, type SolidKernel } from '../../pipeline/setting/solid-kernel.ts';
import { plannedShape } from './planned-shape.ts';
import { expectSoundSet } from './sound-set.ts';
import { rowDesign, SMALL, straightRowDesign } from './stone-designs.ts';

let kernel: SolidKernel;
beforeAll(async () => {
  kernel = await loadSolidKernel();
});

const rad = (degrees: number) => (degrees * Math.PI) / 180;
const at = (...degrees: number[]) => ({ kind: 'angles', anglesRad: degrees.map(rad) }) as const;
const flush = { style: 'flush', lipMm: 0.08 } as const;
const channel = { style: 'channel', openingShare: 0.9 } as const;

function rowsDesign(rows: Partial<RowDesign>[], change: Partial<ShapeDesign> = {}): ShapeDesign {
  const named = rows.map((row, i) => rowDesign({ name: `row ${i}`, ...row }));
  return straightRowDesign({}, { thicknessMm: 2.2, widthMm: 4, rows: named, ...change });
}

/** Twelve places round the top at a pitch of 9°, the even ones for one row and the odd ones for another. */
const places = Array.from({ length: 12 }, (_, i) => 9 * (i - 5.5));
const even = at(...places.filter((_, i) => i % 2 === 0));
const odd = at(...places.filter((_, i) => i % 2 === 1));
const small = { diameterMm: 1.5, setDepthMm: 0.2, leastGapMm: 0.06 };

describe.each([
  [
    'graduated: a centre, two sides and two ends',
    rowsDesign([
      { diameterMm: 2.2, coverage: at(0), setting: flush },
      { diameterMm: 1.8, coverage: at(-18, 18), setting: flush },
      { diameterMm: 1.3, coverage: at(-34, 34), setting: flush },
    ]),
    5,
  ],
  [
    'alternating: two stones in turn, in one channel',
    rowsDesign([
      { ...small, coverage: even, setting: channel },
      { ...small, coverage: odd, setting: channel },
    ]),
    12,
  ],
  [
    'two rows side by side, half and full, on lanes of their own',
    rowsDesign(
      [
        { lane: 'a', diameterMm: 1.3, coverage: { kind: 'arc', angleRad: Math.PI } },
        { lane: 'b', diameterMm: 1.2 },
      ],
      {
        widthMm: 6,
        ...SMALL,
        seams: [{ kind: 'straight', atMm: 0 }],
        lanes: ['a', 'b'].map((name) => ({ name, recessMm: 0, softenMm: 0.2 })),
      },
    ),
    undefined,
  ],
] as [string, ShapeDesign, number | undefined][])('%s', (_, design, stones) => {
  it('set in closed manifolds of genus 1 + one hole a stone that touch no stone', async () => {
    const shape = await buildShape(design, kernel);
    const counts = shape.rows.map(({ count }) => count);
    if (stones) expect(counts.reduce((a, b) => a + b)).toBe(stones);
    for (const [lane, { name }] of design.lanes.entries()) {
      const holes = counts.filter((_, i) => design.rows[i].lane === name).reduce((a, b) => a + b, 0);
      expectSoundSet(kernel, shape, lane, 1 + holes);
    }
  });
});

describe('a list of angles', () => {
  it('puts each stone at its θ, whatever the order and the turn it is given in', async () => {
    const design = rowsDesign([{ coverage: at(350, 60, -120), setting: flush }]);
    const { placements, count } = (await plannedShape(design, kernel)).rows[0];
    const thetas = Array.from({ length: count }, (_, i) =>
      Math.atan2(placements[12 * i + 3], placements[12 * i + 7]),
    );
    expect(thetas).toEqual([-120, -10, 60].map((t) => expect.closeTo(rad(t), 9)));
  });

  it('gives the gap of its closest stones: 2·r·sin(Δθ/2) − Ø', async () => {
    const design = rowsDesign([{ coverage: at(0, 25, 60), setting: flush }]);
    const { gapMm, placements } = (await plannedShape(design, kernel)).rows[0];
    const r = Math.hypot(placements[3], placements[7]);
    expect(gapMm).toBeCloseTo(2 * r * Math.sin(rad(12.5)) - 1.5, 9);
  });

  it.each([
    ['angles-too-close', { coverage: at(0, 5) }],
    ['angles-too-close', { coverage: at(179, -179) }],
    ['count-of-angles', { coverage: at(0, 40), count: 3 }],
    ['claws-out-of-reach', { coverage: at(0, 40) }],
  ] as [string, Partial<RowDesign>][])('is refused: %s', async (code, row) => {
    const error = await buildShape(rowsDesign([row]), kernel).catch((e: unknown) => e);
    expect(error).toBeInstanceOf(ProblemError);
    expect((error as ProblemError).problems.map((p) => p.code)).toContain(code);
  });
});

describe('rows on one lane', () => {
  it('are refused where the claws of one would stand in a stone of another', async () => {
    const clawed = { diameterMm: 1.5, coverage: { kind: 'arc', angleRad: rad(30) } } as const;
    const beside = (degrees: number) =>
      rowsDesign([clawed, { diameterMm: 1.5, coverage: at(degrees), setting: flush }]);
    const error = await buildShape(beside(17.8), kernel).catch((e: unknown) => e);
    expect((error as ProblemError).problems.map((p) => p.code)).toEqual(['claw-in-stone']);
    expect((await buildShape(beside(40), kernel)).rows).toHaveLength(2);
  });
});
