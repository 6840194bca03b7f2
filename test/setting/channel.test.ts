import { beforeAll, describe, expect, it } from 'vitest';
import { lanesOf } from '../../pipeline/band/lane.ts';
import { laneVolume } from '../../pipeline/band/pappus.ts';
import type { RowDesign, ShapeDesign } from '../../pipeline/plan/design.ts';
import { ProblemError } from '../../pipeline/problem.ts';
import { buildShape, checkShape } from '../../pipeline/setting/build-shape.ts';
import { widestOpening } from '../../pipeline/setting/channel-rules.ts';
import { loadSolidKernel, type SolidKernel } from '../../pipeline/setting/solid-kernel.ts';
import { expectSoundSet } from './sound-set.ts';
import { SMALL, straightRowDesign, wavyRowDesign } from './stone-designs.ts';

let kernel: SolidKernel;
beforeAll(async () => {
  kernel = await loadSolidKernel();
});

const channel = { style: 'channel', openingShare: 0.9 } as const;
const third = { kind: 'arc', angleRad: 1.5 } as const;

function channelDesign(row: Partial<RowDesign> = {}, change: Partial<ShapeDesign> = {}): ShapeDesign {
  return straightRowDesign(
    { diameterMm: 1.8, setDepthMm: 0.28, leastGapMm: 0.08, coverage: third, setting: channel, ...row },
    { thicknessMm: 2.2, widthMm: 3.6, ...change },
  );
}

const gentle = { kind: 'wave', amplitudeMm: 0.4, periods: 3, sharpness: 0.3, phaseRad: 0 } as const;

describe.each([
  ['rounds all round', channelDesign({ coverage: { kind: 'full' } }, SMALL), 0],
  ['rounds over a third', channelDesign(), 0],
  ['princess cuts', channelDesign({ cut: 'princess', lengthMm: 1.8, setDepthMm: 0.2 }), 0],
  [
    'baguettes across',
    channelDesign(
      {
        cut: 'baguette',
        diameterMm: 3,
        lengthMm: 1.5,
        setDepthMm: 0.19,
        setting: { ...channel, openingShare: 0.95 },
      },
      { widthMm: 4.6 },
    ),
    0,
  ],
  ['ovals along', channelDesign({ cut: 'oval-brilliant', lengthMm: 2.5, setDepthMm: 0.28 }), 0],
  ['a closed floor', channelDesign({ holeShare: 0, diameterMm: 1.5, setDepthMm: 0.24 }), 0],
  [
    'rounds on a wave',
    wavyRowDesign(
      { diameterMm: 1.3, setDepthMm: 0.2, leastGapMm: 0.08, setting: channel },
      { thicknessMm: 2.2, widthMm: 6, seams: [-1.3, 1.3].map((atMm) => ({ ...gentle, atMm })), ...SMALL },
    ),
    1,
  ],
] as [string, ShapeDesign, number][])('a channel of %s', (_, design, lane) => {
  it('is one closed manifold of genus 1 + one hole a stone, and holds every stone without touching it', async () => {
    const shape = await buildShape(design, kernel);
    const holes = design.rows[0].holeShare > 0 ? shape.rows[0].count : 0;
    expect(shape.rows[0].count).toBeGreaterThan(5);
    expectSoundSet(kernel, shape, lane, 1 + holes, 0.06);
    expect(shape.checks.filter(({ severity, passed }) => severity === 'error' && !passed)).toEqual([]);
  });
});

describe('the groove', () => {
  it('of a full row takes at least its ring: 2π·r̄·width·depth (Pappus), less what stands over the slots', async () => {
    const design = channelDesign({ coverage: { kind: 'full' }, holeShare: 0 }, { chordToleranceMm: 0.004 });
    const shape = await buildShape(design, kernel);
    const removed = laneVolume(lanesOf(design)[0]) - shape.lanes[0].volumeMm3;
    const outer = 54 / (2 * Math.PI) + 2.2;
    const width = 0.9 * 1.8;
    const depth = 0.75 * shape.rows[0].stone.depthMm;
    const groove = 2 * Math.PI * (outer - depth / 2) * width * depth;
    expect(removed).toBeGreaterThan(groove * 0.999);
    // seats and slots: at most rectangles of a stone's overlap, as high as the stone, on both sides, and the culets
    const overlap = 2 * 2 * Math.PI * (outer - depth / 2) * (0.05 * 1.8 + 0.03) * shape.rows[0].stone.depthMm;
    expect(removed).toBeLessThan(groove + overlap);
  });

  it('is 2.25 mm wide for 2.5 mm stones (ganoksin.com/lesson/channel-setting-round-diamonds)', () => {
    expect(2.5 * widestOpening(2.5)).toBeCloseTo(2.25, 12);
    expect(widestOpening(3)).toBe(0.95);
  });

  it('leaves walls whose thickness is the plain subtraction on a straight flat band', async () => {
    const checks = await checkShape(channelDesign(), kernel);
    const of = (rule: string) => Number.parseFloat(checks.find((c) => c.rule === rule)!.measured);
    // up to where the outer edge of 0.2 mm is rounded
    expect(of('channel-wall')).toBeCloseTo((3.6 - 0.9 * 1.8) / 2 - 0.2, 2);
    expect(of('channel-overlap')).toBeCloseTo(0.05 * 1.8, 6);
    expect(of('channel-opening')).toBe(90);
  });

  it('too wide for small stones, and walls too thin, are told by their rules', async () => {
    const wide = channelDesign({ setting: { ...channel, openingShare: 0.95 } }, { widthMm: 2.6 });
    const checks = await checkShape(wide, kernel);
    const failed = checks.filter(({ passed }) => !passed).map(({ rule }) => rule);
    expect(failed).toEqual(expect.arrayContaining(['channel-opening', 'channel-overlap', 'channel-wall']));
  });
});

describe('channels that cannot be', () => {
  const tight = { ...gentle, amplitudeMm: 1.2, periods: 14, sharpness: 0.8 };
  it.each([
    ['channel-lip-thin', channelDesign({ setDepthMm: 0.05 })],
    ['channel-too-deep', channelDesign({ diameterMm: 2.4, setDepthMm: 0.38 }, { thicknessMm: 1.25 })],
    [
      'channel-too-tight',
      wavyRowDesign(
        { diameterMm: 1.3, setDepthMm: 0.2, setting: channel },
        { thicknessMm: 2.2, widthMm: 9, seams: [-1.5, 1.5].map((atMm) => ({ ...tight, atMm })) },
      ),
    ],
  ] as [string, ShapeDesign][])('are refused: %s', async (code, design) => {
    const error = await buildShape(design, kernel).catch((e: unknown) => e);
    expect(error).toBeInstanceOf(ProblemError);
    expect((error as ProblemError).problems.map((p) => p.code)).toContain(code);
  });
});
